/** One rule a question of the house: what is missing for it, where that goes, or a sentence that it is there. */
import type { Thresholds } from './defaults.ts'
import type { PlacedProbe, PlacingAdvice, PlacingFacts, PlacingSpace } from './placingFacts.ts'

/** Round lengths as the trade says them, not converted. */
export const PLACING_WORDS = {
  us: { low: '6 to 12 in', away: '3 ft', outdoors: '4 to 6 ft' },
  si: { low: '15 to 30 cm', away: '1 m', outdoors: '1.2 to 1.8 m' },
} as const
type Words = (typeof PLACING_WORDS)['us' | 'si']

/** Up to here a probe hangs low; within this share of the height below the floor it hangs at the joists. Proposals. */
const LOW_M = 0.4
const JOIST_SHARE = 0.6

/** A string says that nothing is missing, null that there is nothing to say. */
export type Step = Omit<PlacingAdvice, 'now'> | string | null

const air = (space: PlacingSpace) => space.probes.filter(({ measures }) => measures.air)

const isLow = ({ heightM, spotName }: PlacedProbe) =>
  heightM === null ? /\b(low|floor|ground)/i.test(spotName) : heightM <= LOW_M

const isAtJoists = ({ heightM, spotName }: PlacedProbe, space: PlacingSpace) =>
  heightM === null || space.heightM === null
    ? /\b(joist|beam|sill|rim|subfloor)/i.test(spotName)
    : heightM >= JOIST_SHARE * space.heightM

function keepAway(facts: PlacingFacts, space: PlacingSpace, words: Words): string[] {
  const things = [
    space.ventsOpen === false ? 'closed vents' : 'vents',
    'the access door',
    'duct joints',
    ...(facts.dehumidifier ? ['the intake and the blast of the dehumidifier'] : []),
    'water heater and lamps',
  ]
  return [
    `Keep it ${words.away} or more from ${things.join(', ')}.`,
    'It hangs free in the air: never against masonry, earth or plastic, never under insulation.',
  ]
}

export function outdoors(facts: PlacingFacts, words: Words): Step {
  const spaces = facts.spaces.filter(({ role }) => role === 'outdoor')
  if (spaces.some((space) => air(space).length > 0)) return 'Outdoor air is measured at the house.'
  if (facts.station.dewPoint) return 'Outdoor dew point comes from a station: it is alike over a region.'
  return {
    key: 'outdoors',
    space: spaces[0]?.key ?? null,
    need: 'air logger',
    where: `One outdoors, on the north side, ${words.outdoors} above the ground.`,
    why: 'Without outdoor air nothing can tell whether the water comes in with the air or from the ground. A nearby station with dew point serves as well.',
    how: [
      'In the open air under a shield that keeps off sun and rain.',
      'Away from dryer, kitchen and air conditioner exhausts and from irrigation.',
    ],
  }
}

export function wettest(facts: PlacingFacts, space: PlacingSpace, words: Words): Step {
  const low = air(space).find(isLow)
  if (low) return `${space.name}: a logger hangs low (${low.spotName}).`
  const seen =
    facts.wettestSeen !== null && (facts.wettestSeen.space ?? space.key) === space.key ? facts.wettestSeen.place : null
  const place =
    seen !== null
      ? `where the survey found it wettest (${seen})`
      : facts.downspouts === 'end at the wall' || facts.downspouts === 'some led away'
        ? 'in the lowest corner beside a downspout that ends at the wall'
        : facts.gradeAtWall === 'falls toward'
          ? 'on the side where the ground falls toward the house'
          : 'in the lowest corner, where stains, silt or salts on the wall tell of water'
  return {
    key: `wettest ${space.key}`,
    space: space.key,
    need: 'air logger',
    where: `${space.name}: one low, ${place}.`,
    why: 'Ground and rain show first low down in the wettest corner; the middle of the space hides it.',
    how: [`${words.low} above the ground or its cover.`, ...keepAway(facts, space, words)],
  }
}

export function joist(facts: PlacingFacts, space: PlacingSpace, words: Words): Step {
  const high = air(space).find((probe) => isAtJoists(probe, space))
  if (high) return `${space.name}: a logger hangs at the framing (${high.spotName}).`
  return {
    key: `joist ${space.key}`,
    space: space.key,
    need: 'air logger',
    where: `${space.name}: one at half the height of a joist, near the worst wall.`,
    why: 'Mold and decay are judged from the air at the wood, and that air is not the air at the ground.',
    how: [
      'Beside the joist, a hand’s width from the wood.',
      ...keepAway(facts, space, words),
      'Where pins for wood moisture are at hand, set them here and in the rim at the wettest wall.',
    ],
  }
}

export function coldSurface(space: PlacingSpace): Step {
  if (space.probes.some(({ measures }) => measures.surface)) return `${space.name}: a cold surface is measured.`
  if (space.coldSurfaceKnown) return `${space.name}: the temperature of a cold surface is entered.`
  return {
    key: `cold surface ${space.key}`,
    space: space.key,
    need: 'surface probe',
    where: `${space.name}: one surface temperature at the coldest surface.`,
    why: 'RH of the air does not tell whether a surface drips; its temperature does.',
    how: [
      'In summer the jacket of a supply duct or the bottom of the subfloor, in winter the rim.',
      'The sensor lies flat against the surface, with tape and a pad over it, never on a live conductor or inside a duct.',
      'Without a probe, enter the cold surface at its spot: what runs in it and how it is insulated.',
    ],
  }
}

export function spread(facts: PlacingFacts, space: PlacingSpace, limits: Thresholds, words: Words): Step {
  const hung = air(space).length
  if (space.floorAreaM2 === null) {
    return {
      key: `area ${space.key}`,
      space: space.key,
      need: 'note',
      where: `${space.name}: enter its floor area.`,
      why: 'How many loggers it needs depends on it: two for a small one, more for a large one or for bays cut off from each other.',
      how: [],
    }
  }
  const further = Math.max(0, space.floorAreaM2 - limits.loggersFirstAreaM2)
  const wanted = 2 + Math.ceil(further / limits.loggersFurtherAreaM2)
  if (hung >= wanted) return `${space.name}: ${hung} loggers are enough for its size, unless a bay is cut off.`
  // The low one and the one at the joists are told by themselves.
  const [low, high] = [air(space).some(isLow), air(space).some((probe) => isAtJoists(probe, space))]
  const missing = wanted - hung - Number(!low) - Number(!high)
  if (missing <= 0) return null
  return {
    key: `spread ${space.key}`,
    space: space.key,
    need: 'air logger',
    where: `${space.name}: ${missing === 1 ? 'one more' : `${missing} more`}, ${hung < 3 ? 'in the center and at the driest place' : 'in bays that the others do not reach'}.`,
    why: `For its size ${wanted} are usual. In small spaces places differ little; a bay cut off by a wall or a beam needs its own.`,
    how: [...keepAway(facts, space, words), 'Take the place for each from the plan, and photograph it.'],
  }
}

export function liquid(space: PlacingSpace): Step {
  if (space.probes.some(({ measures }) => measures.water)) return `${space.name}: standing water is watched.`
  return {
    key: `water ${space.key}`,
    space: space.key,
    need: 'water contact',
    where: `${space.name}: a float or contact at the lowest point of the floor.`,
    why: 'It is the only cheap proof of standing water after a storm.',
    how: ['Battery powered. Where there is power near water, stay out and call an electrician first.'],
  }
}

export function rain(facts: PlacingFacts): Step {
  const measured = facts.spaces.some(({ probes }) => probes.some(({ measures }) => measures.rain))
  if (measured) return 'Rain is measured at the house.'
  if (facts.station.rain) return 'Rain comes from a station; a storm can differ within a few miles.'
  return {
    key: 'rain',
    space: null,
    need: 'rain gauge or station',
    where: 'A rain gauge at the house, or a station with rain nearby.',
    why: 'Without rain no drain can be proved, and rain is said to be not known.',
    how: ['In the open, twice as far from house and trees as they are high.'],
  }
}

export function living(facts: PlacingFacts): Step {
  const spaces = facts.spaces.filter(({ role }) => role === 'living')
  if (spaces.some((space) => air(space).length > 0)) return 'The living space is measured.'
  return {
    key: 'living',
    space: spaces[0]?.key ?? null,
    need: 'air logger',
    where: 'One on the main floor, out of the sun and away from supply registers.',
    why: 'It tells house air that leaks down from the other sources of water.',
    how: ['At the height of a light switch on an inner wall, not in kitchen or bath.'],
  }
}
