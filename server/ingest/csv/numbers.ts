/** Numbers from bytes, without strings. */
const [PLUS, MINUS, POINT, ZERO, NINE, LOWER_E] = [43, 45, 46, 48, 57, 101]
const POWERS_OF_TEN = Float64Array.from({ length: 23 }, (_, i) => 10 ** i)

/** Where the last `numberAt` stopped reading: behind the number, or at the start where there was none. */
export let stoppedAt = 0

/**
 * The number at the start of bytes `from` to `to`; NaN where there is none. Digits beyond the fifteenth do not count
 * (relative error below 1e-14; the smallest stored step is 1e-3 of a unit). The caller looks at `stoppedAt` for a tail.
 *
 * @param mark byte of the decimal mark, 46 or 44
 */
export function numberAt(bytes: Uint8Array, from: number, to: number, mark: number): number {
  let at = from
  let byte = bytes[at]!
  const negative = byte === MINUS
  if (negative || byte === PLUS) at++
  let mantissa = 0
  let digits = 0
  let decimals = 0
  let any = false
  let behindMark = false
  for (; at < to; at++) {
    byte = bytes[at]!
    if (byte >= ZERO && byte <= NINE) {
      any = true
      if (digits < 15) {
        mantissa = mantissa * 10 + (byte - ZERO)
        if (mantissa > 0) digits++
        if (behindMark) decimals++
      } else if (!behindMark) {
        decimals--
      }
    } else if (byte === mark && !behindMark) {
      behindMark = true
    } else break
  }
  if (!any) {
    stoppedAt = from
    return Number.NaN
  }
  if (at < to && (byte | 32) === LOWER_E) return withExponent(bytes, from, to, at, mark)
  stoppedAt = at
  const value = decimals > 0 ? scaledDown(mantissa, decimals) : decimals < 0 ? mantissa * 10 ** -decimals : mantissa
  return negative ? -value : value
}

const scaledDown = (mantissa: number, decimals: number): number =>
  decimals < 23 ? mantissa / POWERS_OF_TEN[decimals]! : mantissa / 10 ** decimals

/** `1.5e-3` is rare enough for a string; `12E` is twelve with a tail. */
function withExponent(bytes: Uint8Array, from: number, to: number, eAt: number, mark: number): number {
  let at = eAt + 1
  if (bytes[at] === PLUS || bytes[at] === MINUS) at++
  const digitsFrom = at
  while (at < to && bytes[at]! >= ZERO && bytes[at]! <= NINE) at++
  const end = at > digitsFrom ? at : eAt
  stoppedAt = end
  let text = ''
  for (let i = from; i < end; i++) text += bytes[i] === mark ? '.' : String.fromCharCode(bytes[i]!)
  return Number(text)
}

export const markByte = (mark: '.' | ','): number => (mark === ',' ? 44 : POINT)
