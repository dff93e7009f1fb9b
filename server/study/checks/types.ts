/** What is told of a check while it runs and when it has ended. */
import type { SaltPoint } from '../../series/saltCheck.ts'
import type { CheckableProbe, CheckRow } from '../../store/sensorChecks.ts'

/** An offset with its 90 or 95 % interval; probe minus what it should read. */
export interface Offset {
  low: number
  mid: number
  high: number
}

export interface ProbeCorrection {
  quantity: 'tempC' | 'rhPct'
  offset: number
}

export interface CheckedProbe {
  path: string
  name: string
  hasRadio: boolean
  last: { at: number; tempC: number; rhPct: number; dewPointC: number } | null
  /** RH since the box was closed, thinned for a small drawing. */
  trace: { at: number[]; rhPct: number[] }
  verdict: 'fine' | 'correct' | 'reject' | null
  reason: string
  rhPct: Offset | null
  tempK: Offset | null
  vaporPa: Offset | null
  /** What the salt gives at the probe's temperature. */
  expectedRhPct: number | null
  /** Of two salts: change of what it reads for one percent of true RH. */
  slope: number | null
  corrections: ProbeCorrection[]
  /** What the salt check of it found, for the next salt to be read together with. */
  point: SaltPoint | null
}

export interface CheckStanding {
  ready: boolean
  /** Before it can be finished; null when nobody can say. */
  hoursToGo: number | null
  /** The same until it is as good as it gets. */
  hoursToAdvised: number | null
  sentence: string
  probes: CheckedProbe[]
}

/** `store`: what was found is added to its readings. `keep`: it stays as it is. `reject`: it hangs nowhere from now on. */
export type CheckAct = 'store' | 'keep' | 'reject'

/** What became of a probe when the check was finished. */
export interface EndedProbe extends CheckedProbe {
  act: CheckAct
  house: string | null
  stored: ProbeCorrection[]
  /** Where it hangs again; null when nowhere. */
  hungAgain: string | null
}

export interface FinishedCheck {
  sentence: string
  probes: EndedProbe[]
}

export interface GuidedCheck extends Omit<CheckRow, 'result' | 'probes'> {
  standing: CheckStanding | null
  ended: FinishedCheck | null
  probes: string[]
}

export interface FinishAsked {
  acts: readonly { probe: string; act: CheckAct }[]
  /** Corrections hold from this check on, or from when the probe was hung where it hung last. */
  since: 'check' | 'placed'
  hangAgain: boolean
  /** When the box was opened, for loggers that are read out afterwards; now when left out. */
  until?: number
}

export interface ListedProbe extends Omit<CheckableProbe, 'id'> {
  name: string
  /** Of the check it is in now. */
  inCheck: number | null
  /** When a check rejected it, and none was done since. */
  rejectedAt: number | null
  checkedAt: number | null
}

export interface ChecksListed {
  checks: Omit<GuidedCheck, 'standing'>[]
  probes: ListedProbe[]
  houses: { key: string; name: string; invented: boolean }[]
}

/** Why a step of a check is not possible; the message and the hint are sentences for people. */
export class CheckRefused extends Error {
  override name = 'CheckRefused'
  readonly kind: 'not found' | 'cannot begin' | 'not now'
  readonly hint: string
  constructor(kind: CheckRefused['kind'], message: string, hint: string) {
    super(message)
    this.kind = kind
    this.hint = hint
  }
}

export const probeName = ({
  path,
  loggerName,
  loggerCode,
}: Pick<CheckableProbe, 'path' | 'loggerName' | 'loggerCode'>): string => {
  const [logger, probe] = path.split('/')
  // Loggers enrolled together share a name; the code on the label tells them apart.
  const name = loggerName === null ? logger : loggerCode === null ? loggerName : `${loggerName} (${loggerCode})`
  return `${name}, ${probe}`
}
