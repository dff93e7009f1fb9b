import type { Dehumidifier } from './dehumidifier.ts'
import type { AirflowSpec, GroundSpec, HouseSpec } from './spec.ts'
import type { WallClock } from './wallTime.ts'

/** What the house is like at one moment: the spec with the works done by then. */
export interface Settings {
  airflow: AirflowSpec
  ground: GroundSpec
  roofShare: number
  yardShare: number
  dehumidifier: Dehumidifier | null
  leakKgPerDay: number
}

/** The settings at any instant, and when they next change (Infinity: never). */
export interface SettingsTimeline {
  at: (instant: number) => Settings
  nextChange: (instant: number) => number
}

export function settingsTimeline(spec: HouseSpec, clock: WallClock): SettingsTimeline {
  const span = (dated: { from: string; to?: string }) => ({
    from: clock.instantOf(dated.from),
    to: dated.to === undefined ? Number.POSITIVE_INFINITY : clock.instantOf(dated.to),
  })
  const works = spec.works.map((work) => ({ work, ...span(work) })).sort((a, b) => a.from - b.from)
  const leaks = spec.leaks.map((leak) => ({ leak, ...span(leak) }))
  const changes = [...works, ...leaks].flatMap(({ from, to }) => [from, to])
  return {
    nextChange: (instant) =>
      changes.reduce((next, c) => (c > instant && c < next ? c : next), Number.POSITIVE_INFINITY),
    at(instant) {
      const now: Settings = {
        airflow: { ...spec.airflow },
        ground: { ...spec.ground },
        roofShare: spec.water.roofShareToWall,
        yardShare: spec.water.yardShareToWall,
        dehumidifier: null,
        leakKgPerDay: 0,
      }
      for (const { leak, from, to } of leaks) {
        if (instant >= from && instant < to) now.leakKgPerDay += leak.litersPerDay
      }
      for (const { work, from, to } of works) {
        if (instant < from || instant >= to) continue
        switch (work.kind) {
          case 'downspout drain':
            now.roofShare = work.roofShareLeft
            break
          case 'yard drain':
            now.yardShare = work.yardShareLeft
            break
          case 'vents sealed':
          case 'vents opened':
            now.airflow.ventOpenShare = work.ventOpenShare
            if (work.leakAreaM2 !== undefined) now.airflow.leakAreaM2 = work.leakAreaM2
            break
          case 'ground cover':
            now.ground.coverShare = work.coverShare
            if (work.coverConductance !== undefined) now.ground.coverConductance = work.coverConductance
            break
          case 'dehumidifier':
            now.dehumidifier = work
            break
          case 'other':
            break
        }
      }
      return now
    },
  }
}
