/** A remedy as it is typed: its kind, and after a colon what is known of it with its unit. */
import { WORK_KINDS, type WorkKind } from '../moisture/input.ts'
import { RATING_BASES_C, type RatingBasis } from '../physics/dehumidifier.ts'
import { litersFromPints, m3hFromCfm } from '../physics/units.ts'
import type { AskedRemedy } from '../study/balance/balanceWhatIf.ts'
import { UsageError } from './command.ts'

type Details = NonNullable<AskedRemedy['details']>

const BASES = Object.keys(RATING_BASES_C) as RatingBasis[]
const AMOUNT = /^(\d+(?:\.\d+)?)\s*(|L\/kWh|L|pints?|pt|%|°?F|cfm|m3\/h|m³\/h)$/i

/**
 * `vents sealed`, `dehumidifier:33` (liters a day), `dehumidifier:70pints,50%` (held at 50 % RH), `ground cover:95%`,
 * `vent fan:100cfm` (else m³/h). A dehumidifier's `65F` is the test it was rated by, its `2.1L/kWh` the label's efficiency.
 * @throws UsageError with what can be said
 */
export function parseRemedy(text: string): AskedRemedy {
  const colon = text.indexOf(':')
  const kind = (colon < 0 ? text : text.slice(0, colon)).trim().toLowerCase() as WorkKind
  if (!WORK_KINDS.includes(kind)) {
    throw new UsageError(`--remedy does not know "${kind}". It takes one of: ${WORK_KINDS.join(', ')}.`)
  }
  if (colon < 0) return { kind }
  const details: Details = {}
  for (const part of text.slice(colon + 1).split(',')) Object.assign(details, detailOf(kind, part.trim(), text))
  return { kind, details }
}

function detailOf(kind: WorkKind, part: string, whole: string): Details {
  const match = AMOUNT.exec(part)
  const value = Number(match?.[1])
  const unit = match?.[2]
    ?.toLowerCase()
    .replace('m³', 'm3')
    .replace('°', '')
    .replace(/^(pints?|pt)$/, 'pints')
  const details = match && value > 0 ? OF_UNIT[`${kind} ${unit}`]?.(value) : undefined
  if (details !== undefined) return details
  throw new UsageError(
    `--remedy "${whole}" is not understood at "${part}". Say dehumidifier:33 (liters a day), dehumidifier:50pints,65F,50%,2.1L/kWh, "ground cover:95%" or "vent fan:100cfm".`,
  )
}

const capacity = (ratedLPerDay: number): Details => ({ ratedLPerDay })
const basis = (tempF: number): Details | undefined => {
  const found = BASES.find((one) => one === `${tempF} °F`)
  return found && { ratingBasis: found }
}
const cover = (pct: number): Details | undefined => (pct <= 100 ? { coverShareAfter: pct / 100 } : undefined)
const fan = (fanM3PerHour: number): Details => ({ fanM3PerHour })

const OF_UNIT: Record<string, (value: number) => Details | undefined> = {
  'dehumidifier ': capacity,
  'dehumidifier l': capacity,
  'dehumidifier pints': (pints) => capacity(litersFromPints(pints)),
  'dehumidifier %': (pct) => (pct >= 20 && pct <= 90 ? { setRhPct: pct } : undefined),
  'dehumidifier f': basis,
  'dehumidifier l/kwh': (litersPerKwh) => (litersPerKwh >= 0.2 && litersPerKwh <= 10 ? { litersPerKwh } : undefined),
  'ground cover ': cover,
  'ground cover %': cover,
  'vent fan ': fan,
  'vent fan m3/h': fan,
  'vent fan cfm': (cfm) => fan(m3hFromCfm(cfm)),
}
