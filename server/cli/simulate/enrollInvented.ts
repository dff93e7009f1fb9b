/** Invented loggers let in to a service that runs, over its own addresses, as a person would. */
import type { HouseAnswer } from '../../http/contract/house.ts'
import type { EnrolledAnswer, IntakeAnswer } from '../../http/contract/loggers.ts'
import { InputRefused } from '../command.ts'

export interface Service {
  /** GET, or POST with a body. @throws InputRefused with the sentence of the service */
  ask<T>(path: string, body?: object): Promise<T>
}

/** @param token an API token that may write; none where the service lets this machine in by itself */
export const serviceAt = (address: string, token?: string): Service => ({
  async ask<T>(path: string, body?: object): Promise<T> {
    let response: Response
    try {
      response = await fetch(address + path, {
        headers: {
          ...(body && { 'content-type': 'application/json' }),
          ...(token !== undefined && { authorization: `Bearer ${token}` }),
        },
        ...(body && { method: 'POST', body: JSON.stringify(body) }),
      })
    } catch {
      throw new InputRefused(`No service answers at ${address}. Start it with npm start, or name it with --service.`)
    }
    const answer = (await response.json()) as { message?: string; hint?: string }
    if (!response.ok) throw new InputRefused(`${answer.message} ${answer.hint ?? ''}`.trim())
    return answer as T
  },
})

export interface Wanted {
  count: number
  everyS: number
  /** Key of an invented house to hang them in; nowhere when null. */
  house: string | null
  /** Of that house, one after the other; all of its spaces under or around the house when left out. */
  spots?: readonly string[]
  /** Wall clock of the house from when they hang there; now when left out. */
  at?: string
}

/** @throws InputRefused for a house that is not invented, or a service without a broker of its own */
export async function enrollInvented(
  service: Service,
  { count, everyS, house, at, spots }: Wanted,
): Promise<{ broker: string; loggers: { key: string; secret: string }[] }> {
  const { broker } = await service.ask<IntakeAnswer>('/api/intake')
  if (broker.kind !== 'own') {
    throw new InputRefused(
      'The service has no broker of its own, and only there can loggers be let in by themselves. Start it without MQTT_URL.',
    )
  }
  const places = house === null ? [] : (spots ?? (await spotsOfInvented(service, house)))
  const { enrolled } = await service.ask<EnrolledAnswer>('/api/loggers', {
    count,
    name: 'Invented logger',
    probes: ['air'],
    hasRadio: true,
    intervalS: Math.max(10, Math.round(everyS)),
    ...(house !== null && { house }),
  })
  for (const [i, { logger }] of enrolled.entries()) {
    const spot = places[i % places.length]
    if (spot === undefined) break
    const probes = [{ probe: 'air', spot }]
    await service.ask(`/api/loggers/${logger.key}/place`, { house, probes, ...(at !== undefined && { at }) })
  }
  const loggers = enrolled.map(({ logger, secret }) => ({ key: logger.key, secret: secret! }))
  return { broker: broker.address, loggers }
}

async function spotsOfInvented(service: Service, key: string): Promise<string[]> {
  const { house } = await service.ask<HouseAnswer>(`/api/houses/${encodeURIComponent(key)}`)
  if (!house.invented) {
    throw new InputRefused(`"${key}" is not an invented house: readings of invented loggers would spoil its record.`)
  }
  const spaces = house.spaces.filter(({ role }) => role !== 'outdoor' && role !== 'living')
  return spaces.flatMap((space) => space.spots.map((spot) => `${space.key}/${spot.key}`))
}
