/** Findings rows as the watch takes them up. They are written by studies; nothing here starts one. */
import { readFindings, readFirstFinding } from '../store/findings.ts'
import type { Database } from '../store/open.ts'
import type { Found, FoundDeparture, FoundFault, FoundStorm } from './found.ts'

interface StoredFinding {
  subject?: { spot?: string }
  data?: unknown
}

export async function readFound(db: Database, houseId: number): Promise<Found> {
  const balance = await readFirstFinding(db, houseId, 'moisture balance', '$.departures')
  const storms = await readFindings(db, houseId, 'storms')
  const checks = await readFindings(db, houseId, 'sensor checks')
  const recordEnd = await readFirstFinding(db, houseId, 'level', '$.data.recordEnd')
  return {
    departures: (balance?.body ?? []) as FoundDeparture[],
    departuresMadeAt: balance?.computedAt ?? null,
    storms: storms.flatMap(
      ({ body }) => ((body as StoredFinding).data as { storms?: FoundStorm[] } | undefined)?.storms ?? [],
    ),
    faults: checks.flatMap(({ body }): FoundFault[] => {
      const { subject, data } = body as StoredFinding
      const fault = data as Omit<FoundFault, 'spot'> | undefined
      return subject?.spot === undefined || fault === undefined ? [] : [{ ...fault, spot: subject.spot }]
    }),
    studiedAt: storms[0]?.computedAt ?? null,
    recordEnd: (recordEnd?.body as number | null | undefined) ?? null,
  }
}
