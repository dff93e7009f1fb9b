/** The building as it is drawn, as short sentences for whoever does not see it. Pure. */
import type { Part, SectionFacts } from './facts.ts'

export function factsInWords(facts: SectionFacts, dated: (at: number) => string): string[] {
  const since = (part: Part | null) => (part?.since ? `, since ${dated(part.since)}` : '')
  const put = (part: Part | null, words: string) => (part ? [`${words}${since(part)}.`] : [])
  return [
    ...(facts.wall === 'not recorded'
      ? []
      : [`Foundation: ${facts.wall === 'piers' ? 'piers' : `${facts.wall} wall`}.`]),
    ...(facts.grade === 'not recorded'
      ? []
      : [
          `The grade ${facts.grade === 'level' ? 'is level at' : `${facts.grade}${facts.grade === 'falls away' ? ' from' : ''}`} the wall.`,
        ]),
    ...(facts.downspoutDrain
      ? put(facts.downspoutDrain, 'Downspouts run to a pipe')
      : facts.downspouts === 'not recorded'
        ? []
        : [`Downspouts: ${facts.downspouts}.`]),
    ...put(facts.yardDrain, 'Yard drain with a catch basin'),
    ...put(facts.footingDrain, 'Footing drain'),
    ...(facts.vents === 'not recorded' || facts.vents === 'none'
      ? []
      : [`Vents ${facts.vents}${since(facts.ventLids)}.`]),
    ...put(facts.ventFan, 'Vent fan'),
    ...(facts.coverShare === null
      ? []
      : facts.coverShare < 0.01
        ? ['Bare ground.']
        : [`Ground cover on ${Math.round(facts.coverShare * 100)} %${since(facts.newCover)}.`]),
    ...put(facts.dehumidifier, 'Dehumidifier with a condensate line'),
    ...(facts.insulated === null
      ? []
      : [facts.insulated ? 'Insulation between the joists.' : 'No insulation between the joists.']),
  ]
}
