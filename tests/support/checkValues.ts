/**
 * The check values of tests/golden/check-values.json: figures from standards, handbooks and public implementations,
 * each with its source and how it was come by. Only rows marked "seen" were read in a text; they alone are called
 * published. The rest were computed from the cited equation or with another library, or come from memory: cross-checks.
 */
import { readFileSync } from 'node:fs'

export interface CheckValue {
  id: string
  topic: string
  quantity: string
  inputs: Record<string, number | string | boolean | number[]>
  expected: number
  tolerance: number
  unit: string
  source: string
  provenance: string
  note?: string
}

/** Answers one quantity from the inputs of its row. */
export type Answer = (inputs: Inputs) => number
export type Answers = Record<string, Answer>

/** Typed access to a row's inputs; a missing or mistyped one fails the test by name. */
export interface Inputs {
  number(name: string): number
  text(name: string): string
  numbers(name: string): number[]
}

export const CHECK_VALUES = JSON.parse(
  readFileSync(new URL('../golden/check-values.json', import.meta.url), 'utf8'),
) as CheckValue[]

export function inputsOf(row: CheckValue): Inputs {
  const get = <T>(name: string, fits: (value: unknown) => value is T): T => {
    const value: unknown = row.inputs[name]
    if (!fits(value)) throw new Error(`${row.id} has no usable input named ${name}.`)
    return value
  }
  return {
    number: (name) => get(name, (value): value is number => typeof value === 'number'),
    text: (name) => get(name, (value): value is string => typeof value === 'string'),
    numbers: (name) => get(name, (value): value is number[] => Array.isArray(value)),
  }
}

export function titleOf(row: CheckValue): string {
  const kind = row.provenance === 'seen' ? 'published' : `cross-check (${row.provenance})`
  return `${row.id} ${row.quantity} ${JSON.stringify(row.inputs).slice(0, 90)} · ${kind} · ${row.source}`
}
