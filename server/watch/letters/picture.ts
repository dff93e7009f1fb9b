/** The one picture of a letter: a line through the last weeks and the line that matters. Drawn as paper, in both schemes. */
import { createRequire } from 'node:module'
import { createCanvas, GlobalFonts, type SKRSContext2D } from '@napi-rs/canvas'
import { pictured, shortDay, tickDay, type Units } from './phrases.ts'
import type { PictureData } from './told.ts'

const WIDTH = 340
const HEIGHT = 210
/** Drawn at three times its size, for sharp screens. */
const SCALE = 3
const PLOT = { left: 40, right: WIDTH - 12, top: 34, bottom: HEIGHT - 28 }

const SHEET = '#fcfaf5'
const INK = '#16233b'
const INK2 = '#4c566b'
const LINE = '#d3cab8'
const WATER = '#1b679b'

const FAMILY = 'Encode Sans'
let registered = false
function useFont(): void {
  if (registered) return
  const path = createRequire(import.meta.url).resolve(
    '@fontsource-variable/encode-sans/files/encode-sans-latin-wdth-normal.woff2',
  )
  GlobalFonts.registerFromPath(path, FAMILY)
  registered = true
}

/** @returns PNG, and what it shows in words; null where fewer than two values are known */
export function drawPicture(
  data: PictureData,
  { timeZone, units }: { timeZone: string; units: Units },
): { png: Buffer; alt: string; caption: string } | null {
  const known = data.at.map((at, i) => ({ at, value: data.value[i]! })).filter(({ value }) => Number.isFinite(value))
  if (known.length < 2) return null
  useFont()
  const { unit, called, of } = pictured(data.quantity, units)
  const values = known.map(({ value }) => of(value))
  const threshold = data.threshold && { ...data.threshold, value: of(data.threshold.value) }
  const { low, high, step } = axis([...values, ...(threshold ? [threshold.value] : [])])
  const [from, to] = [data.at[0]!, data.at.at(-1)!]
  const x = (at: number) => PLOT.left + ((at - from) / Math.max(1, to - from)) * (PLOT.right - PLOT.left)
  const y = (value: number) => PLOT.bottom - ((value - low) / (high - low)) * (PLOT.bottom - PLOT.top)

  const canvas = createCanvas(WIDTH * SCALE, HEIGHT * SCALE)
  const c = canvas.getContext('2d')
  c.scale(SCALE, SCALE)
  c.fillStyle = SHEET
  c.fillRect(0, 0, WIDTH, HEIGHT)
  label(c, unit, 4, 16, { color: INK2 })
  for (let value = low; value <= high + step / 2; value += step) {
    rule(c, [PLOT.left, y(value), PLOT.right, y(value)], value === low ? INK2 : LINE)
    label(c, String(Math.round(value * 10) / 10).replace('-', '−'), PLOT.left - 7, y(value) + 4, {
      align: 'right',
      color: INK2,
    })
  }
  const middle = (from + to) / 2
  for (const [at, align] of [
    [from, 'left'],
    [middle, 'center'],
    [to, 'right'],
  ] as const) {
    label(c, tickDay(at, timeZone), x(at), HEIGHT - 9, { align, color: INK2 })
  }
  if (threshold) {
    c.setLineDash([2, 3])
    rule(c, [PLOT.left, y(threshold.value), PLOT.right, y(threshold.value)], INK, 1.4)
    c.setLineDash([])
  }
  curve(
    c,
    data,
    (at) => x(at),
    (value) => y(of(value)),
  )
  // Names come last, with a halo, so that no line runs through them.
  if (threshold)
    label(c, threshold.name, PLOT.left + 4, y(threshold.value) - 6, { color: INK, weight: 560, halo: true })
  const last = known.at(-1)!
  label(c, data.name, PLOT.right, 16, { align: 'right', color: WATER, weight: 640 })
  dot(c, x(last.at), y(of(last.value)))

  const number = (value: number) => (Math.round(value * 10) / 10).toString().replace('-', '−')
  const span = `from ${shortDay(from, timeZone)} to ${shortDay(to, timeZone)}`
  const passed = threshold ? ` The line at ${number(threshold.value)} is “${threshold.name}”.` : ''
  return {
    png: canvas.toBuffer('image/png'),
    caption: `${called}, ${data.name}, ${span}.`,
    alt: `${called}, ${data.name}, ${span}, in ${unit.replace(/^.*, /, '')}: it begins at ${number(values[0]!)}, lies between ${number(Math.min(...values))} and ${number(Math.max(...values))}, and is ${number(values.at(-1)!)} at the end.${passed}`,
  }
}

/** Four to six steps of 1, 2 or 5 times a power of ten. */
function axis(values: readonly number[]): { low: number; high: number; step: number } {
  const [least, most] = [Math.min(...values), Math.max(...values)]
  const raw = Math.max(most - least, 1) / 4
  const power = 10 ** Math.floor(Math.log10(raw))
  const step = [1, 2, 5, 10].map((times) => times * power).find((size) => size >= raw)!
  const low = Math.floor(least / step) * step
  return { low, high: Math.max(Math.ceil(most / step) * step, low + step), step }
}

function curve(
  c: SKRSContext2D,
  { at, value }: PictureData,
  x: (at: number) => number,
  y: (value: number) => number,
): void {
  c.beginPath()
  let drawing = false
  for (const [i, instant] of at.entries()) {
    const known = Number.isFinite(value[i]!)
    if (known && drawing) c.lineTo(x(instant), y(value[i]!))
    if (known && !drawing) c.moveTo(x(instant), y(value[i]!))
    drawing = known
  }
  c.strokeStyle = WATER
  c.lineWidth = 2.3
  c.lineJoin = 'round'
  c.stroke()
}

function rule(c: SKRSContext2D, [x1, y1, x2, y2]: [number, number, number, number], color: string, width = 1): void {
  c.beginPath()
  c.moveTo(x1, y1)
  c.lineTo(x2, y2)
  c.strokeStyle = color
  c.lineWidth = width
  c.stroke()
}

function dot(c: SKRSContext2D, x: number, y: number): void {
  c.beginPath()
  c.arc(x, y, 3.5, 0, 2 * Math.PI)
  c.fillStyle = WATER
  c.fill()
}

function label(
  c: SKRSContext2D,
  text: string,
  x: number,
  y: number,
  {
    align = 'left',
    color,
    weight = 450,
    halo = false,
  }: { align?: 'left' | 'center' | 'right'; color: string; weight?: number; halo?: boolean },
): void {
  c.font = `${weight} 13px "${FAMILY}", sans-serif`
  c.textAlign = align
  if (halo) {
    c.strokeStyle = SHEET
    c.lineWidth = 4
    c.strokeText(text, x, y)
  }
  c.fillStyle = color
  c.fillText(text, x, y)
}
