/** Whether an address, or the name of a host, means this very machine: who asks from there, and what is plain to there, crosses no network. */
import { BlockList, isIP } from 'node:net'

const loopback = new BlockList()
loopback.addSubnet('127.0.0.0', 8, 'ipv4')
loopback.addAddress('::1', 'ipv6')

/** An IPv4 address inside an IPv6 one (::ffff:127.0.0.1) is not: nobody is reached that way alone. */
export function isLoopbackAddress(address: string): boolean {
  const family = isIP(address)
  if (family === 6 && /^::ffff:/i.test(address)) return false
  return family !== 0 && loopback.check(address, family === 4 ? 'ipv4' : 'ipv6')
}

/** `host` without port; an IPv6 address with or without brackets. */
export const isLoopback = (host: string): boolean =>
  host.toLowerCase() === 'localhost' || isLoopbackAddress(host.replace(/^\[(.*)\]$/, '$1'))
