/** What is asked before a logger is placed, and what is advised. */

export interface PlacedProbe {
  spotName: string
  heightM: number | null
  measures: { air: boolean; wood: boolean; surface: boolean; water: boolean; rain: boolean }
}

export interface PlacingSpace {
  key: string
  name: string
  role: 'crawl space' | 'basement' | 'attic' | 'wall' | 'outdoor' | 'living'
  heightM: number | null
  floorAreaM2: number | null
  ventsOpen: boolean | null
  /** What hangs there now. */
  probes: readonly PlacedProbe[]
  /** Whether a cold surface was entered at one of its spots. */
  coldSurfaceKnown: boolean
}

export interface PlacingFacts {
  spaces: readonly PlacingSpace[]
  /** What outside weather sources tell of the house. */
  station: { dewPoint: boolean; rain: boolean }
  downspouts: 'end at the wall' | 'some led away' | 'led away' | null
  gradeAtWall: 'falls away' | 'level' | 'falls toward' | null
  /** The wettest place that a survey found, in its own words; null when none was measured. */
  wettestSeen: { space: string | null; place: string } | null
  /** A dehumidifier stands in one of the spaces. */
  dehumidifier: boolean
  /** Loggers of the house that hang nowhere. */
  atHand: number
}

export type PlacingNeed = 'air logger' | 'surface probe' | 'water contact' | 'rain gauge or station' | 'note'

export interface PlacingAdvice {
  key: string
  space: string | null
  need: PlacingNeed
  /** One of the loggers at hand can go there now. */
  now: boolean
  /** Where it goes, in a sentence. */
  where: string
  why: string
  /** Height, distances, what to look out for. */
  how: string[]
}

export interface Placing {
  /** Most urgent first; empty when nothing is missing. */
  advice: PlacingAdvice[]
  /** What is there already, in sentences. */
  enough: string[]
}
