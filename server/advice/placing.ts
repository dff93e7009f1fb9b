/**
 * Where the next logger goes, and why. Rules of the trade, most of them common practice without a source: few well-placed
 * loggers say more than many, each question needs its own place.
 */
import type { Thresholds } from './defaults.ts'
import type { Placing, PlacingFacts } from './placingFacts.ts'
import { coldSurface, joist, liquid, living, outdoors, PLACING_WORDS, rain, spread, wettest } from './placingRules.ts'

export function placingAdvice(facts: PlacingFacts, limits: Thresholds, units: 'us' | 'si'): Placing {
  const words = PLACING_WORDS[units]
  const below = facts.spaces.filter(({ role }) => role === 'crawl space' || role === 'basement')
  const steps = [
    outdoors(facts, words),
    ...below.flatMap((space) => [wettest(facts, space, words), joist(facts, space, words)]),
    ...below.map((space) => coldSurface(space)),
    ...below.map((space) => spread(facts, space, limits, words)),
    ...below.map((space) => liquid(space)),
    rain(facts),
    living(facts),
  ]
  const advice = steps.flatMap((step) => (step !== null && typeof step === 'object' ? [step] : []))
  const enough = steps.filter((step): step is string => typeof step === 'string')
  let left = facts.atHand
  return { advice: advice.map((one) => ({ ...one, now: one.need === 'air logger' && left-- > 0 })), enough }
}
