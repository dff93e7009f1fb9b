import { test } from 'vitest'
import { serviceUnderKills } from '../../support/killedService.ts'

test('the service, killed twice under load, has every acknowledged reading once with its right value', () =>
  serviceUnderKills(8, 2, 300))
