/** Can the loggers be believed? Faults that would spoil the other answers, each with its dates and what to do. */
import { batteryMarks } from '../series/batteryQuality.ts'
import { HOUR_MS } from '../series/hourly.ts'
import { localTimeText } from '../series/localTime.ts'
import { type Mark, type MarkKind, markBit } from '../series/marks.ts'
import { gapMarks } from '../series/quality.ts'
import { cannotTell, type Finding, type FindingNumber } from './finding.ts'
import type { SensorFaultData } from './findingData.ts'
import type { StudiedHouse, StudiedSpot } from './studiedHouse.ts'
import { takeNumbersOut } from './takeNumbersOut.ts'

const QUESTION = 'sensor checks'
/** Shorter silence is ordinary and is told by the count of complete days. */
const GAP_TOLD_MS = 120 * HOUR_MS
/** A sun-struck probe is told once, not for each sunny day. */
const ADVICE: Partial<Record<MarkKind, string>> = {
  stuck:
    'The sensor did not change at all for a day or longer: these hours are left out. Replace it if it happens again.',
  'sun-struck':
    'The sun shines on it: hang it on the north side or shade it. Its temperature and RH are left out then.',
}

export function sensorChecks(house: StudiedHouse): Finding[] {
  const heard = house.spots.filter(({ hours }) => hours.count.some((count) => count > 0))
  if (heard.length === 0) {
    return [cannotTell(QUESTION, {}, 'No logger of this house has been heard yet.', ['readings of a placed logger'])]
  }
  const ofSpots = heard.map((spot) => ({ spot, faults: faultsOf(house, spot) }))
  const silences = commonSilences(ofSpots)
  const isCommon = ({ kind, from }: Mark) =>
    kind === 'gap' && silences.some((one) => Math.abs(one.from - from) <= HOUR_MS)
  const faults = [
    ...silences.map((silence) => silenceFinding(house, silence)),
    ...ofSpots.flatMap(({ spot, faults: own }) =>
      own.filter((fault) => !isCommon(fault)).map((fault) => faultFinding(house, spot, fault)),
    ),
  ]
  if (faults.length > 0) return faults
  return [
    {
      question: QUESTION,
      subject: {},
      sentence: 'The readings show no fault of a logger: no long gap, stuck sensor, wrong unit, shifted clock or move.',
      numbers: {},
      evidenceFor: [`Checked at ${heard.map(({ name }) => name).join(', ')}.`],
      evidenceAgainst:
        heard.length < 3 ? ['Units, clocks and moves need three loggers in one space to be checked.'] : [],
      certainty: 'likely',
      wouldChangeIt: 'Loggers laid side by side for a day show offsets that no series shows.',
    },
  ]
}

/** One entry a kind for faults that come in many short stretches, one entry each for the others. */
function faultsOf(house: StudiedHouse, { path, hours }: StudiedSpot): Mark[] {
  const heardAt = hours.at.filter((_, i) => hours.count[i]! > 0)
  const single = [
    ...gapMarks(heardAt).filter(({ from, to }) => to - from > GAP_TOLD_MS),
    ...batteryMarks(hours),
    ...house.marks.filter(({ probe, kind }) => probe === path && ADVICE[kind] === undefined),
  ]
  const many = (Object.keys(ADVICE) as MarkKind[]).flatMap((kind): Mark[] => {
    const rows = [...hours.at.keys()].filter((i) => (hours.marks[i]! & markBit(kind)) !== 0)
    if (rows.length === 0) return []
    const from = hours.at[rows[0]!]!
    const to = hours.at[rows[rows.length - 1]!]! + HOUR_MS
    return [{ kind, from, to, reason: ADVICE[kind]!, numbers: { hours: rows.length } }]
  })
  return [...single, ...many].sort((a, b) => a.from - b.from)
}

type Silence = Pick<Mark, 'from' | 'to'> & { spots: string[] }

/** Gaps that begin within an hour of one another at every spot heard until then, two at least: one cause, told once. */
function commonSilences(ofSpots: readonly { spot: StudiedSpot; faults: readonly Mark[] }[]): Silence[] {
  const gaps = (ofSpots[0]?.faults ?? []).filter(({ kind }) => kind === 'gap')
  return gaps.flatMap((gap): Silence[] => {
    const around = ofSpots.filter(({ spot: { hours } }) =>
      hours.at.some((at, i) => at < gap.from && hours.count[i]! > 0),
    )
    const own = around.map(({ faults }) =>
      faults.find(({ kind, from }) => kind === 'gap' && Math.abs(from - gap.from) <= HOUR_MS),
    )
    if (around.length < 2 || own.some((one) => one === undefined)) return []
    const to = Math.min(...own.map((one) => one!.to))
    return [{ from: gap.from, to, spots: around.map(({ spot }) => spot.name) }]
  })
}

function silenceFinding({ tree: { timeZone } }: StudiedHouse, { from, to, spots }: Silence): Finding {
  const said = (at: number) => localTimeText(at, timeZone).replace('T', ' ')
  const hours = (to - from) / HOUR_MS
  return {
    question: QUESTION,
    subject: {},
    sentence: `Nothing was heard at any of ${spots.length} spots for {hours}, ${said(from)} to ${said(to)}: one cause for all, such as the gateway or the power.`,
    numbers: { hours: { value: hours, unit: 'h' } },
    evidenceFor: [`All fell silent within an hour: ${spots.join(', ')}.`],
    evidenceAgainst: [],
    certainty: 'shown',
    wouldChangeIt: 'A power cut or a visit among the events of the house, which would explain it.',
    data: { kind: 'gap', from, to, numbers: { silentHours: hours } } satisfies SensorFaultData,
  }
}

function faultFinding(house: StudiedHouse, spot: StudiedSpot, { kind, from, to, reason, numbers }: Mark): Finding {
  const { timeZone } = house.tree
  const hours = numbers.hours ?? (to - from) / HOUR_MS
  const numbersOut: Record<string, FindingNumber> = { hours: { value: hours, unit: 'h' } }
  const said = (at: number) => localTimeText(at, timeZone).replace('T', ' ')
  return {
    question: QUESTION,
    subject: { space: spot.space.key, spot: spot.path },
    sentence: `${spot.name}, ${kind}, ${said(from)} to ${said(to)}: ${takeNumbersOut(reason, numbersOut)}`,
    numbers: numbersOut,
    evidenceFor: [],
    evidenceAgainst: [],
    certainty: kind === 'gap' || kind === 'stuck' ? 'shown' : 'likely',
    wouldChangeIt: 'A look at the logger on the next visit.',
    data: { kind, from, to, numbers } satisfies SensorFaultData,
  }
}
