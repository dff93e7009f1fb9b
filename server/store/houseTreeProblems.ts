/** What is wrong with a house tree, by path: its shape first, then what no schema can say (references, dates, overlaps). */
import { Value } from 'typebox/value'
import { instantOfLocalText, zoneClock } from '../series/localTime.ts'
import { STATION_LOGGER_PREFIX } from './houseProbes.ts'
import { type HouseTree, HouseTreeSchema } from './houseTree.ts'

/** One fault: `path` as a JSON pointer into house.json, and a sentence. */
export interface TreeProblem {
  path: string
  problem: string
}

/** An empty list means the value is a sound {@link HouseTree}. */
export function houseTreeProblems(value: unknown): TreeProblem[] {
  const shape = shapeProblems(value)
  return shape.length > 0 ? shape : meaningProblems(value as HouseTree)
}

interface SchemaError {
  keyword: string
  instancePath: string
  message: string
  params: Record<string, unknown>
}

function shapeProblems(value: unknown): TreeProblem[] {
  const problems: TreeProblem[] = []
  for (const error of Value.Errors(HouseTreeSchema, value) as unknown as SchemaError[]) {
    const path = error.instancePath || '/'
    switch (error.keyword) {
      case 'boolean': // said again, with the key's name, by additionalProperties
        break
      case 'additionalProperties':
        for (const key of error.params.additionalProperties as string[]) {
          problems.push({
            path: `${error.instancePath}/${key}`,
            problem: 'is not a key known here. Remove it or correct its spelling.',
          })
        }
        break
      case 'enum':
        problems.push({ path, problem: `must be one of ${(error.params.allowedValues as unknown[]).join(', ')}.` })
        break
      case 'const':
        problems.push({ path, problem: `must be "${error.params.allowedValue}".` })
        break
      default:
        problems.push({ path, problem: `${error.message}.` })
    }
  }
  return problems
}

function meaningProblems(house: HouseTree): TreeProblem[] {
  const problems: TreeProblem[] = []
  const add = (path: string, problem: string) => problems.push({ path, problem })
  const at = (text: string, path: string): number => {
    try {
      return instantOfLocalText(text, house.timeZone)
    } catch (error) {
      add(path, (error as Error).message)
      return Number.NaN
    }
  }
  const span = (path: string, from: string, to: string | undefined) => {
    const fromAt = at(from, `${path}/from`)
    const toAt = to === undefined ? Number.POSITIVE_INFINITY : at(to, `${path}/to`)
    if (toAt <= fromAt) add(`${path}/to`, `${to} is not after ${from}.`)
    return { fromAt, toAt }
  }
  const once = (path: string, keys: string[]) => {
    keys.forEach((key, i) => {
      if (keys.indexOf(key) < i) add(`${path}/${i}/key`, `"${key}" is there twice.`)
    })
  }

  try {
    zoneClock(house.timeZone)
  } catch (error) {
    return [{ path: '/timeZone', problem: (error as Error).message }]
  }

  once(
    '/spaces',
    house.spaces.map((space) => space.key),
  )
  const spotPaths = new Set<string>()
  house.spaces.forEach((space, i) => {
    once(
      `/spaces/${i}/spots`,
      space.spots.map((spot) => spot.key),
    )
    for (const spot of space.spots) spotPaths.add(`${space.key}/${spot.key}`)
  })

  const probePaths = new Set<string>()
  once(
    '/loggers',
    (house.loggers ?? []).map((logger) => logger.key),
  )
  house.loggers?.forEach((logger, i) => {
    if (logger.key.startsWith(STATION_LOGGER_PREFIX)) {
      add(
        `/loggers/${i}/key`,
        `Keys that begin with "${STATION_LOGGER_PREFIX}" belong to weather stations. Take another.`,
      )
    }
    once(
      `/loggers/${i}/probes`,
      logger.probes.map((probe) => probe.key),
    )
    logger.probes.forEach((probe, j) => {
      probePaths.add(`${logger.key}/${probe.key}`)
      const spans = probe.placements.map((placement, k) => {
        const path = `/loggers/${i}/probes/${j}/placements/${k}`
        if (!spotPaths.has(placement.spot)) add(`${path}/spot`, `There is no spot "${placement.spot}" in this house.`)
        return span(path, placement.from, placement.to)
      })
      spans.forEach((one, k) => {
        const clash = spans.findIndex((other, m) => m < k && one.fromAt < other.toAt && other.fromAt < one.toAt)
        if (clash >= 0) {
          add(
            `/loggers/${i}/probes/${j}/placements/${k}`,
            `overlaps placement ${clash}: a probe is at one spot at a time. End the earlier one first.`,
          )
        }
      })
    })
  })

  once(
    '/works',
    (house.works ?? []).map((work) => work.key),
  )
  house.works?.forEach((work, i) => void span(`/works/${i}`, work.from, work.to))
  house.events?.forEach((event, i) => void span(`/events/${i}`, event.from, event.to))
  once(
    '/stations',
    (house.stations ?? []).map((station) => station.key),
  )
  house.corrections?.forEach((correction, i) => {
    span(`/corrections/${i}`, correction.from, correction.to)
    if (!probePaths.has(correction.probe)) add(`/corrections/${i}/probe`, `There is no probe "${correction.probe}".`)
  })
  house.surveys?.forEach((survey, i) => {
    at(survey.at, `/surveys/${i}/at`)
    survey.readings.forEach((reading, j) => {
      if (reading.spot !== undefined && !spotPaths.has(reading.spot)) {
        add(`/surveys/${i}/readings/${j}/spot`, `There is no spot "${reading.spot}" in this house.`)
      }
    })
  })
  return problems
}
