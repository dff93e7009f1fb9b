/** The remedies that switches and sliders stand for. Pure. */
import type { WhatIfRequest } from '../../server/http/contract/balance.ts'
import type { HousePage } from '../../server/http/contract/page.ts'

export interface Tried {
  ventsSealed: boolean
  /** Ground covered afterwards, 0 to 100 %; null leaves the ground as it is. */
  coverPct: number | null
  drains: boolean
  dehumidifier: boolean
  /** Rated at 80 °F / 60 %, L/day. */
  ratedLPerDay: number
  setRhPct: number
  ventFan: boolean
  fanM3PerHour: number
}

export const NOTHING_TRIED: Tried = {
  ventsSealed: false,
  coverPct: null,
  drains: false,
  dehumidifier: false,
  ratedLPerDay: 33,
  setRhPct: 55,
  ventFan: false,
  fanM3PerHour: 170,
}

/** null when nothing is tried. */
export function remediesOf(tried: Tried): WhatIfRequest['remedies'] | null {
  const remedies: WhatIfRequest['remedies'] = []
  if (tried.drains) remedies.push({ kind: 'downspout drain' })
  if (tried.coverPct !== null)
    remedies.push({ kind: 'ground cover', details: { coverShareAfter: tried.coverPct / 100 } })
  if (tried.ventsSealed) remedies.push({ kind: 'vents sealed' })
  if (tried.ventFan) remedies.push({ kind: 'vent fan', details: { fanM3PerHour: tried.fanM3PerHour } })
  if (tried.dehumidifier) {
    const { ratedLPerDay, setRhPct } = tried
    remedies.push({ kind: 'dehumidifier', details: { ratedLPerDay, ratingBasis: '80 °F', setRhPct } })
  }
  return remedies.length === 0 ? null : remedies
}

/** What stands already is said beside its switch. */
export const stands = (page: Pick<HousePage, 'works'>, kinds: readonly string[]): boolean =>
  page.works.some(({ kind, to }) => kinds.includes(kind) && to === null)
