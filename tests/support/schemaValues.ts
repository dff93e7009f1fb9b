/** Values made from a JSON Schema with a seeded stream of chance: such as fit, such as just fit, and such as do not. */
import fc from 'fast-check'

export interface Schema {
  type?: string | string[]
  enum?: unknown[]
  const?: unknown
  anyOf?: Schema[]
  properties?: Record<string, Schema>
  patternProperties?: Record<string, Schema>
  required?: string[]
  additionalProperties?: boolean | Schema
  items?: Schema
  minItems?: number
  maxItems?: number
  minLength?: number
  maxLength?: number
  pattern?: string
  minimum?: number
  maximum?: number
  exclusiveMinimum?: number
  exclusiveMaximum?: number
}

export interface Values {
  /** @param name of the field, under which values known to exist are drawn now and then */
  make(schema: Schema, name: string, borderline: boolean): unknown
  /** A copy with one to three parts taken out, added, or replaced by what nobody expects. */
  mutate(value: unknown): unknown
  pick<T>(from: readonly T[]): T
}

const LONGEST_LIST = 40

/** None of them belongs anywhere. */
export const HOSTILE_TEXTS = [
  '',
  ' ',
  '\u0000',
  '../../../../etc/passwd',
  '..\\..\\windows',
  '%2e%2e%2f',
  '\ud800',
  'a\udfffb',
  '__proto__',
  'constructor',
  "'; drop table readings; --",
  '<script>alert(1)</script>',
  '=1+1',
  'a\r\nset-cookie: x=1',
  '\u202egnp.exe',
  'é'.repeat(3000),
  '2026-13-45T99:99',
  '9999-12-31',
  '1e309',
  'NaN',
] as const

const HOSTILE: readonly unknown[] = [
  ...HOSTILE_TEXTS,
  null,
  true,
  0,
  -0,
  -1,
  0.1,
  1e308,
  -1e308,
  5e-324,
  2 ** 53,
  -(2 ** 63),
  8.64e15 + 1,
  [],
  {},
  [[[[[[[[[[]]]]]]]]]],
  [null],
  { toString: 1 },
  { constructor: { prototype: {} } },
  { length: -1 },
]

/** @param known values by the name of the field */
export function schemaValues(random: () => number, known: Readonly<Record<string, readonly unknown[]>>): Values {
  const below = (n: number) => Math.floor(random() * n)
  const pick = <T>(from: readonly T[]): T => from[below(from.length)] as T
  const matching = new Map<string, fc.Arbitrary<string>>()

  function fitting(pattern: string): string {
    const found = matching.get(pattern) ?? fc.stringMatching(new RegExp(pattern))
    matching.set(pattern, found)
    return fc.sample(found, { seed: below(2 ** 31), numRuns: 1 })[0]!
  }

  function number({ type, minimum, maximum, exclusiveMinimum, exclusiveMaximum }: Schema, borderline: boolean): number {
    const whole = type === 'integer'
    const low = minimum ?? (exclusiveMinimum === undefined ? -1000 : exclusiveMinimum + (whole ? 1 : 1e-9))
    const high = maximum ?? (exclusiveMaximum === undefined ? low + 100_000 : exclusiveMaximum - (whole ? 1 : 1e-9))
    if (borderline) return pick([low, high])
    const value = low + random() * (high - low)
    return whole ? Math.round(value) : value
  }

  function text({ pattern, minLength = 0, maxLength = 60 }: Schema, borderline: boolean): string {
    if (pattern !== undefined) return fitting(pattern)
    const length = borderline
      ? pick([minLength, maxLength])
      : minLength + below(Math.min(maxLength, minLength + 12) - minLength + 1)
    return Array.from({ length }, () => pick([...'abc XYZ-09°é,;'])).join('')
  }

  function make(schema: Schema, name: string, borderline: boolean): unknown {
    const here = known[name]
    if (here !== undefined && random() < 0.8) return structuredClone(pick(here))
    if (schema.const !== undefined) return schema.const
    if (schema.enum) return pick(schema.enum)
    if (schema.anyOf) return make(pick(schema.anyOf), name, borderline)
    switch (Array.isArray(schema.type) ? pick(schema.type) : schema.type) {
      case 'string':
        return text(schema, borderline)
      case 'integer':
      case 'number':
        return number(schema, borderline)
      case 'boolean':
        return random() < 0.5
      case 'null':
        return null
      case 'array': {
        const { minItems = 0, maxItems = LONGEST_LIST } = schema
        const most = Math.min(maxItems, LONGEST_LIST)
        const length = borderline ? pick([minItems, most]) : Math.min(most, minItems + below(3))
        return Array.from({ length }, () => make(schema.items ?? {}, name, borderline))
      }
      case 'object':
        return object(schema, borderline)
      default:
        return pick(HOSTILE)
    }
  }

  function object(schema: Schema, borderline: boolean): Record<string, unknown> {
    const made: Record<string, unknown> = {}
    for (const [key, part] of Object.entries(schema.properties ?? {})) {
      const needed = schema.required?.includes(key)
      if (needed || random() < (borderline ? 0.2 : 0.6)) made[key] = make(part, key, borderline)
    }
    const more =
      Object.values(schema.patternProperties ?? {})[0] ??
      (typeof schema.additionalProperties === 'object' ? schema.additionalProperties : undefined)
    for (let i = below(3); more && i > 0; i--) made[`key ${i}`] = make(more, '', borderline)
    return made
  }

  function changed(value: unknown): unknown {
    const inner = typeof value === 'object' && value !== null ? Object.keys(value) : []
    if (inner.length === 0 || random() < 0.15) return structuredClone(pick(HOSTILE))
    const key = pick(inner)
    const copy = (Array.isArray(value) ? [...value] : { ...(value as object) }) as Record<string, unknown>
    const way = random()
    if (way < 0.1) delete copy[key]
    else if (way < 0.2) copy[String(pick(HOSTILE_TEXTS))] = pick(HOSTILE)
    else if (way < 0.3 && Array.isArray(copy)) copy.push(structuredClone(copy[key as never]))
    else copy[key] = changed(copy[key])
    return copy
  }

  return {
    make,
    pick,
    mutate: (value) => Array.from({ length: 1 + below(3) }).reduce<unknown>(changed, value),
  }
}
