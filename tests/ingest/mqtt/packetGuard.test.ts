import { describe, expect, it } from 'vitest'
import { createPacketGuard } from '../../../server/ingest/mqtt/packetGuard.ts'

/** A packet of MQTT 3.1.1 with its length written as in section 2.2.3, table 2.4. */
function packet(length: number): Uint8Array {
  const head = [0x30]
  let rest = length
  do {
    const digit = rest % 128
    rest = Math.floor(rest / 128)
    head.push(rest > 0 ? digit | 0x80 : digit)
  } while (rest > 0)
  return Uint8Array.from([...head, ...new Uint8Array(Math.min(length, 300_000))])
}

describe('packet guard', () => {
  it('lets packets of every length up to the limit pass, in chunks of any size', () => {
    const lengths = [0, 1, 127, 128, 16_383, 16_384, 200_000] // both ends of table 2.4's rows
    const bytes = Buffer.concat(lengths.map(packet))
    for (const size of [1, 2, 3, 1000, bytes.length]) {
      const guard = createPacketGuard(200_000)
      let good = true
      for (let i = 0; i < bytes.length; i += size) good &&= guard.feed(bytes.subarray(i, i + size))
      expect(good).toBe(true)
    }
  })

  it('refuses a longer one as soon as its length is told', () => {
    const guard = createPacketGuard(1000)
    expect(guard.feed(packet(1000))).toBe(true)
    expect(guard.feed(packet(1001).subarray(0, 3))).toBe(false)
    expect(guard.feed(packet(1))).toBe(false)
  })

  it('refuses a length that goes on after four bytes', () => {
    expect(createPacketGuard().feed(Uint8Array.from([0x30, 0x80, 0x80, 0x80, 0x80]))).toBe(false)
  })
})
