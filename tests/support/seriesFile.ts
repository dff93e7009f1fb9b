/** A file of one logger whose every value is known by its row: what is stored after a kill can be checked to the last one. */
import { closeSync, openSync, writeSync } from 'node:fs'

export const STEP_MS = 60_000
export const FIRST_AT = Date.UTC(2023, 0, 1)

/** Whole steps of 0.01, spread so that a value in the wrong row is seen. */
export const tempSteps = (row: number): number => ((row * 7919) % 6000) - 1000
export const rhSteps = (row: number): number => (row * 104_729) % 10_001

/** One line a row: UTC time, °C, %. */
export function writeSeriesFile(path: string, rows: number): void {
  const file = openSync(path, 'w')
  let text = 'time,temperature (°C),relative humidity (%)\n'
  for (let row = 0; row < rows; row++) {
    const at = new Date(FIRST_AT + row * STEP_MS).toISOString().replace('.000Z', 'Z')
    text += `${at},${(tempSteps(row) / 100).toFixed(2)},${(rhSteps(row) / 100).toFixed(2)}\n`
    if (text.length > 1_000_000) {
      writeSync(file, text)
      text = ''
    }
  }
  writeSync(file, text)
  closeSync(file)
}
