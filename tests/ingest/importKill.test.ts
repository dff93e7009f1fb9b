import { test } from 'vitest'
import { importUnderKills } from '../support/killedImport.ts'

// The long form of this, a million rows and 20 kills, is tests/long/import-kill.test.ts.
test(
  'an import killed three times loses nothing it acknowledged, and repeating the file completes it',
  () => importUnderKills(50_000, 3),
  240_000,
)
