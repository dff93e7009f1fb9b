/** What the page of checks says, from what the service told. */
import type { CheckAnswer, CheckedProbe, ChecksAnswer } from '../../server/http/contract/checks.ts'
import type { Units } from '../../server/http/contract/words.ts'
import { type Estimate, estimateText, type Shown, shownAs } from '../base/units.ts'

export type Salt = ChecksAnswer['salts'][number]
export type ListedProbe = ChecksAnswer['probes'][number]
export type Act = 'store' | 'keep' | 'reject'
export type Correction = CheckedProbe['corrections'][number]

const same = (value: number): number => value
/** Finer than elsewhere, for here a tenth counts. */
export const RH_OFFSET: Shown = { unit: '% RH', digits: 1, of: same, step: 1 }

export const VERDICT_WORDS = {
  fine: 'fine as it is',
  correct: 'to be corrected',
  reject: 'to be replaced',
} as const

/** "3 h", "40 min": how long something still takes. */
export function hoursText(hours: number): string {
  if (hours < 1) return `${Math.max(1, Math.round(hours * 60))} min`
  return `${Math.ceil(hours)} h`
}

/** What is still to wait for, in one line; null when nothing is. */
export function waitText({ ready, hoursToGo, hoursToAdvised }: NonNullable<CheckAnswer['standing']>): string | null {
  if (!ready) return hoursToGo === null ? null : `Settling: about ${hoursText(hoursToGo)} to go.`
  if (hoursToGo !== null && hoursToGo > 0) return `The others need about ${hoursText(hoursToGo)} more.`
  if (hoursToAdvised !== null && hoursToAdvised > 0) {
    return `It can be finished. In ${hoursText(hoursToAdvised)} it is as good as it gets.`
  }
  return 'It can be finished.'
}

/** Offsets of one probe, from the salt or from the others, each with its interval. */
export function offsetLines(
  probe: Pick<CheckedProbe, 'rhPct' | 'tempK' | 'vaporPa' | 'expectedRhPct'>,
  units: Units,
): string[] {
  const off = probe.expectedRhPct === null ? 'apart from the others by' : 'off by'
  const tempK = { ...shownAs('tempK', units), digits: 2 }
  const vapor = { ...shownAs('vaporPressurePa', units), digits: units === 'us' ? 1 : 0 }
  const line = (name: string, estimate: Estimate | null, how: Shown) =>
    estimate === null ? [] : [`${name} ${off} ${estimateText(estimate, how)} ${how.unit}`]
  return [
    ...line('RH', probe.rhPct, RH_OFFSET),
    ...line('Temperature', probe.tempK, tempK),
    ...line('Vapor', probe.vaporPa, vapor),
  ]
}

/** "add −3.1 % RH and 0.5 °F" */
export function correctionText(corrections: readonly Correction[], units: Units): string {
  const added = corrections.filter(({ offset }) => offset !== 0)
  if (added.length === 0) return 'nothing to add'
  const words = added.map(({ quantity, offset }) => {
    const how = quantity === 'rhPct' ? RH_OFFSET : { ...shownAs('tempK', units), digits: 2 }
    const text = how.of(offset).toFixed(how.digits)
    return `${text.startsWith('-') ? text.replace('-', '−') : `+${text}`} ${how.unit}`
  })
  return `add ${words.join(' and ')}`
}

/** What is possible for a probe, the advised one first. */
export function actsFor({ verdict }: Pick<CheckedProbe, 'verdict'>): { act: Act; label: string }[] {
  const store = {
    act: 'store' as const,
    label: verdict === 'fine' ? 'Store: checked and right' : 'Store the correction',
  }
  const keep = { act: 'keep' as const, label: 'Leave it as it is' }
  const reject = { act: 'reject' as const, label: 'Reject it: it is not hung again' }
  if (verdict === null) return [keep, reject]
  return verdict === 'reject' ? [reject, keep] : [store, keep, reject]
}

/** What became of a probe. */
export function endedText(
  { act, stored, hungAgain }: { act: Act; stored: readonly Correction[]; hungAgain: string | null },
  units: Units,
): string {
  const words = { store: `Stored: ${correctionText(stored, units)}`, keep: 'Left as it is', reject: 'Rejected' }[act]
  return `${words}. ${hungAgain === null ? 'It hangs nowhere.' : 'It hangs again.'}`
}

/** Probes by house, in the order of the list; those of none last. */
export function byHouse({
  probes,
  houses,
}: Pick<ChecksAnswer, 'probes' | 'houses'>): { name: string; invented: boolean; probes: ListedProbe[] }[] {
  const groups = houses.map(({ key, name, invented }) => ({
    name,
    invented,
    probes: probes.filter(({ house }) => house === key),
  }))
  const homeless = probes.filter(({ house }) => house === null)
  return [...groups, { name: 'Of no house yet', invented: false, probes: homeless }].filter(
    (group) => group.probes.length > 0,
  )
}

/** Where a probe is, in a few words beside its name. */
export function whereabouts({ hung, inCheck, rejectedAt }: ListedProbe): string {
  if (inCheck !== null) return `in check ${inCheck}`
  if (rejectedAt !== null) return 'rejected by its last check'
  return hung === null ? 'hangs nowhere' : hung.spotName
}

export interface TraceDrawn {
  path: string
  /** Height of the line it should come to; null where there is none. */
  wantedY: number | null
  low: number
  high: number
}

export const TRACE_WIDTH = 240
export const TRACE_HEIGHT = 56

/** RH since the box was closed, in a box of TRACE_WIDTH × TRACE_HEIGHT; null for fewer than two readings. */
export function traceDrawn({ trace, expectedRhPct }: Pick<CheckedProbe, 'trace' | 'expectedRhPct'>): TraceDrawn | null {
  const { at, rhPct } = trace
  if (at.length < 2) return null
  const all = expectedRhPct === null ? rhPct : [...rhPct, expectedRhPct]
  const [low, high] = [Math.floor(Math.min(...all)) - 1, Math.ceil(Math.max(...all)) + 1]
  const x = (instant: number) => ((instant - at[0]!) / (at[at.length - 1]! - at[0]!)) * TRACE_WIDTH
  const y = (rh: number) => TRACE_HEIGHT * (1 - (rh - low) / (high - low))
  const path = at
    .map((instant, i) => `${i === 0 ? 'M' : 'L'}${x(instant).toFixed(1)} ${y(rhPct[i]!).toFixed(1)}`)
    .join('')
  return { path, wantedY: expectedRhPct === null ? null : y(expectedRhPct), low, high }
}

/** What to have at hand and how to set the box up. */
export function preparation(kind: 'side by side' | 'salt'): string[] {
  if (kind === 'side by side') {
    return [
      'A box or bag of plastic with a lid, large enough for all of them. Metal keeps radio in.',
      'Take the loggers there, let each keep logging, and lay them close together, openings free.',
      'Close it and leave it indoors for a night, out of the sun, away from heating and cold walls.',
    ]
  }
  return [
    'An airtight plastic box and a shallow dish. Never use them for food again. Metal keeps radio in.',
    'Pure salt in the dish, three spoons or more. Stir in a little distilled water until it is like wet sand: crystals must stay.',
    'Hang or lay the probe above the slurry. Nothing may touch it or drip on it: salt ruins the sensor.',
    'Close the box and leave it for 12 hours or more, better a day, where the temperature keeps still: 1 °C (2 °F) between probe and salt makes 4 to 5 % RH.',
  ]
}
