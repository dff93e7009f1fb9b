/** Does water condense on the cold surfaces that somebody named or measured? */
import type { Thresholds } from '../advice/defaults.ts'
import { type ColdSurface, type Condensation, condensationOn, type SurfaceBasis } from '../moisture/condensation.ts'
import { localDays } from '../moisture/observed.ts'
import { localDateText } from '../series/localTime.ts'
import { cannotTell, type Finding } from './finding.ts'
import type { CondensationData } from './findingData.ts'
import { type ObservedSpace, observedSpaces } from './observedHouse.ts'
import type { StudiedHouse } from './studiedHouse.ts'

const QUESTION = 'condensation'
const MISSING = 'a cold surface (duct jacket, pipe, rim joist) with its temperature, measured or entered'

export function condensation(house: StudiedHouse, held: Thresholds): Finding[] {
  const spaces = observedSpaces(house)
  if (spaces.length === 0) return [cannotTell(QUESTION, {}, 'Whether anything sweats is not known.', [MISSING])]
  return spaces.flatMap((one) => {
    const named = one.space.spots.flatMap(({ key, name, coldSurface }) => {
      const path = `${one.space.key}/${key}`
      const surface = one.coldSurfaces[path] ?? coldSurface
      return surface ? [{ path, name, surface, known: path in one.coldSurfaces }] : []
    })
    if (named.length === 0) {
      const sentence = `${one.space.name}: no cold surface is named or measured, so sweating ducts or pipes would not be seen here.`
      return [cannotTell(QUESTION, { space: one.space.key }, sentence, [MISSING])]
    }
    return named.map(({ path, name, surface, known }) =>
      known ? onSurface(house, one, path, name, surface, held) : howColdIsNotKnown(one, path, name, surface),
    )
  })
}

function howColdIsNotKnown({ space }: ObservedSpace, spot: string, name: string, surface: ColdSurface): Finding {
  const sentence = `${surface.name} at ${name}: how cold it gets is not known.`
  const missing = ['its temperature, measured or entered, or what is inside it and its insulation']
  return cannotTell(QUESTION, { space: space.key, spot, surface: surface.name }, sentence, missing)
}

const BASES: Record<SurfaceBasis, string> = {
  measured: 'The surface itself was measured.',
  entered: 'From one temperature for all hours, as entered.',
  computed: 'From what is inside it and its insulation, as entered.',
}

function onSurface(
  house: StudiedHouse,
  { space, observed }: ObservedSpace,
  path: string,
  name: string,
  surface: ColdSurface,
  held: Thresholds,
): Finding {
  const { timeZone } = house.tree
  const spot = observed.spots.find(({ key }) => key === path)!
  const found = condensationOn(spot, surface, localDays(observed), held)
  const subject = { space: space.key, spot: path, surface: surface.name }
  const data: CondensationData = { months: monthsOf(found, timeZone) }
  const known = observed.hours - found.missingHours
  if (known === 0) {
    return cannotTell(QUESTION, subject, `${surface.name} at ${name}: no hour is known.`, [`readings at ${name}`], {
      data,
    })
  }
  const wetDays = found.days.filter(({ wet }) => wet === 'yes')
  const ruleDays = found.days.filter(({ rule }) => rule === 'yes')
  const last = wetDays.at(-1)
  const lastWords = last ? `, last on ${localDateText(last.at, timeZone)}` : ''
  return {
    question: QUESTION,
    subject,
    sentence:
      found.totalHours === 0
        ? `${surface.name} at ${name}: nothing condensed in {known}.`
        : `${surface.name} at ${name}: water condensed in {condensing} of {known}, for more than {line} a day on {wetDays}${lastWords}.`,
    numbers: {
      condensing: { value: found.totalHours, unit: 'h' },
      known: { value: known, unit: 'h' },
      missing: { value: found.missingHours, unit: 'h' },
      line: { value: held.condensationHoursPerDay, unit: 'h' },
      wetDays: { value: wetDays.length, unit: 'days' },
      ruleDays: { value: ruleDays.length, unit: 'days' },
    },
    evidenceFor: [BASES[found.basis], `Often enough to count as damp on {ruleDays}.`],
    evidenceAgainst: found.missingHours > 0 ? ['Not known: {missing}.'] : [],
    certainty: found.basis === 'measured' ? 'shown' : 'likely',
    wouldChangeIt: found.basis === 'measured' ? 'Nothing but a fault of the probe.' : 'A surface probe on it.',
    data,
  }
}

function monthsOf({ days }: Condensation, timeZone: string): CondensationData['months'] {
  const months = new Map<string, CondensationData['months'][number]>()
  for (const { at, condensingHours, wet } of days) {
    const month = localDateText(at, timeZone).slice(0, 7)
    const sum = months.get(month) ?? { month, hours: 0, wetDays: 0 }
    sum.hours += condensingHours
    if (wet === 'yes') sum.wetDays++
    months.set(month, sum)
  }
  return [...months.values()]
}
