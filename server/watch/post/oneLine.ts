/** Names and subjects come from people and files: none of them may begin another header or turn what follows around. */

const MOST_CHARS = 200

/** Controls, line ends of every kind and marks of direction become spaces; what is very long is cut. */
export function oneLine(text: string): string {
  const clean = text
    .replace(/[\p{Cc}\p{Cf}\p{Cs}\p{Zl}\p{Zp}]+/gu, ' ')
    .replace(/\s+/g, ' ')
    .trim()
  const chars = [...clean]
  return chars.length <= MOST_CHARS
    ? clean
    : `${chars
        .slice(0, MOST_CHARS - 1)
        .join('')
        .trimEnd()}…`
}
