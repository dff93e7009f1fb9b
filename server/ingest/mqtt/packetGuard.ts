/**
 * Watches the bytes of an MQTT connection for the length that each packet announces: a parser would collect what was
 * announced, up to 256 MB, before anybody could say that it is too large.
 */

/** More than twice the largest payload: what is only somewhat too large is still read, refused and counted by its topic. */
export const MOST_PACKET_BYTES = 1024 * 1024

export interface PacketGuard {
  /** @returns false when a packet announces more than may be; nothing after that can be understood */
  feed(chunk: Uint8Array): boolean
}

/** MQTT 3.1.1, section 2.2: one byte of type, then the length of the rest in one to four bytes of seven bits each. */
export function createPacketGuard(mostBytes = MOST_PACKET_BYTES): PacketGuard {
  let left = 0 // bytes of the packet at hand
  let inLength = false
  let length = 0
  let scale = 1
  let bad = false
  return {
    feed(chunk) {
      let i = 0
      while (i < chunk.length && !bad) {
        if (left > 0) {
          const step = Math.min(left, chunk.length - i)
          left -= step
          i += step
        } else if (!inLength) {
          inLength = true
          length = 0
          scale = 1
          i++
        } else {
          const byte = chunk[i++]!
          length += (byte & 127) * scale
          scale *= 128
          if (length > mostBytes) bad = true
          else if ((byte & 128) === 0) {
            left = length
            inLength = false
          } else if (scale === 128 ** 4) bad = true // a fifth byte of length is not MQTT
        }
      }
      return !bad
    },
  }
}
