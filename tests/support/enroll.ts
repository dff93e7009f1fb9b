/** Loggers put into a database beside the service, with secrets that are known to the test. */
import { hashOf, newSecret } from '../../server/store/loggerSecrets.ts'
import { type Database, openDatabase } from '../../server/store/open.ts'
import { loggers, probes } from '../../server/store/schema.ts'

export interface Enrolled {
  key: string
  secret: string
  probeId: number
}

/** Loggers `lg-1`, `lg-2` … with one probe "air" each. */
export function enroll(db: Database, count: number): Enrolled[] {
  return Array.from({ length: count }, (_, i) => {
    const key = `lg-${i + 1}`
    const secret = newSecret()
    const row = { key, secretHash: hashOf(secret), hasRadio: true, intervalS: 300 }
    const { id } = db.orm.insert(loggers).values(row).returning({ id: loggers.id }).get()
    const probe = db.orm.insert(probes).values({ loggerId: id, key: 'air' }).returning({ id: probes.id }).get()
    return { key, secret, probeId: probe.id }
  })
}

/** The same in a file that no service has open yet. */
export function enrollIn(databasePath: string, count: number): Enrolled[] {
  const db = openDatabase(databasePath)
  try {
    return enroll(db, count)
  } finally {
    db.close()
  }
}
