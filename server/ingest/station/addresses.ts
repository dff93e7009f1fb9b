/**
 * Which network addresses an address typed by a person may lead to. The service stands inside somebody's network: without
 * this a page address could make it ask the router, another machine or a cloud's own data for things meant for neither.
 */
import { BlockList, isIP } from 'node:net'

/** Special-purpose blocks of IPv4 (IANA registry, RFC 6890 and its successors; from memory). */
const NOT_PUBLIC_4: readonly (readonly [string, number])[] = [
  ['0.0.0.0', 8], // this network
  ['10.0.0.0', 8], // private
  ['100.64.0.0', 10], // carrier-grade NAT
  ['127.0.0.0', 8], // loopback
  ['169.254.0.0', 16], // link-local, also the data of cloud machines
  ['172.16.0.0', 12], // private
  ['192.0.0.0', 24], // protocol assignments
  ['192.0.2.0', 24], // documentation
  ['192.88.99.0', 24], // 6to4 relays
  ['192.168.0.0', 16], // private
  ['198.18.0.0', 15], // benchmarks
  ['198.51.100.0', 24], // documentation
  ['203.0.113.0', 24], // documentation
  ['224.0.0.0', 4], // multicast
  ['240.0.0.0', 4], // reserved, broadcast
]

/** Inside the one block of public IPv6 addresses (2000::/3): those that stand for something else. */
const NOT_PUBLIC_6: readonly (readonly [string, number])[] = [
  ['2001::', 23], // protocol assignments, Teredo tunnels
  ['2001:db8::', 32], // documentation
  ['2002::', 16], // 6to4: an IPv4 address inside
  ['3fff::', 20], // documentation
]

const notPublic = new BlockList()
for (const [net, bits] of NOT_PUBLIC_4) notPublic.addSubnet(net, bits, 'ipv4')
for (const [net, bits] of NOT_PUBLIC_6) notPublic.addSubnet(net, bits, 'ipv6')
const public6 = new BlockList()
public6.addSubnet('2000::', 3, 'ipv6')

/** Out in the internet. An IPv4 address inside an IPv6 one (::ffff:10.0.0.1) is not: nobody is reached that way alone. */
export function isPublicAddress(address: string): boolean {
  switch (isIP(address)) {
    case 4:
      return !notPublic.check(address, 'ipv4')
    case 6:
      return public6.check(address, 'ipv6') && !notPublic.check(address, 'ipv6')
    default:
      return false
  }
}
