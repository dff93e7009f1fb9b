import { test } from 'vitest'
import { serviceUnderKills } from '../support/killedService.ts'

test('the service, killed fifty times under the load of twenty loggers, has every acknowledged reading once with its right value', () =>
  serviceUnderKills(20, 50, 2000))
