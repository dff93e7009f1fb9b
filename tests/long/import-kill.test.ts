import { test } from 'vitest'
import { importUnderKills } from '../support/killedImport.ts'

test('an import of a million readings, killed twenty times, loses nothing it acknowledged and completes when repeated', () =>
  importUnderKills(1_000_000, 20))
