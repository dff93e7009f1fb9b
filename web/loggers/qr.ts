/** A QR code as one path of an SVG: square modules, one unit each, runs of a row joined. */
import qrcode from 'qrcode-generator'

/** White round about, that readers need: four modules. */
export const QUIET = 4

export interface Qr {
  /** Width and height with the white round about, in modules. */
  size: number
  path: string
}

/** Medium correction: a label in a crawl space gets dirty. */
export function qrOf(text: string): Qr {
  const code = qrcode(0, 'M')
  code.addData(text)
  code.make()
  const count = code.getModuleCount()
  return { size: count + 2 * QUIET, path: modulesPath(count, (row, column) => code.isDark(row, column)) }
}

export function modulesPath(count: number, isDark: (row: number, column: number) => boolean): string {
  let path = ''
  for (let row = 0; row < count; row++) {
    for (let column = 0; column < count; column++) {
      if (!isDark(row, column)) continue
      const from = column
      while (column + 1 < count && isDark(row, column + 1)) column++
      path += `M${from + QUIET} ${row + QUIET}h${column - from + 1}v1H${from + QUIET}z`
    }
  }
  return path
}
