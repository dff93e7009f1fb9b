/** `simulate` against a service in a program of its own, with every fault that can be asked for. */
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { openDatabase } from '../../server/store/open.ts'
import { scratchFolder } from '../support/database.ts'
import { startLiveService } from '../support/liveService.ts'
import { followProgram, startProgram } from '../support/tsx.ts'

const CLI = new URL('../../server/cli.ts', import.meta.url).href
const STEPS = 144 // a day, each ten minutes

async function simulated(...options: string[]) {
  const path = join(scratchFolder(), 'underjoist.db')
  const service = await startLiveService(path)
  const lines: string[] = []
  const run = async (...args: string[]) =>
    followProgram(
      startProgram(CLI, ['simulate', '--service', service.http, ...args], { UNDERJOIST_TOKEN: service.token }),
      (line) => lines.push(line),
    )
  const { code, errors } = await run('--days', '1', '--every', '600', '--speed', '1000000', '--json', ...options)
  const db = openDatabase(path, { readOnly: true })
  try {
    return {
      code,
      errors,
      result: JSON.parse(lines.at(-1) ?? 'null') as { readings: number; sent: number; kept: number },
      rows: db.raw.prepare('select count(*) from readings').pluck().get() as number,
      refused: db.raw.prepare('select reason, count from refused_messages order by reason').all(),
      temps: db.raw.prepare('select count(distinct temp_c) from readings').pluck().get() as number,
      through: db.raw.prepare('select through from sequences').pluck().all(),
    }
  } finally {
    db.close()
  }
}

describe('simulate', () => {
  it('sends a day of two loggers, each reading once on the disk and confirmed by a receipt', async () => {
    const { code, result, rows, refused, through } = await simulated('--loggers', '2')
    expect({ code, rows, refused, through }).toEqual({ code: 0, rows: 2 * STEPS, refused: [], through: [STEPS, STEPS] })
    expect(result).toMatchObject({ readings: 2 * STEPS, kept: 0 })
  })

  it('sends twice, out of order and nonsense, and still each reading is there once', async () => {
    const { code, rows, refused, result } = await simulated('--faults', 'duplicates,out-of-order,malformed')
    expect({ code, rows }).toEqual({ code: 0, rows: STEPS })
    expect(result.sent).toBeGreaterThan(STEPS)
    expect(refused).toEqual([
      { reason: 'malformed', count: expect.any(Number) },
      { reason: 'out of range', count: expect.any(Number) },
      { reason: 'wrong unit', count: expect.any(Number) },
    ])
  })

  it('hands in a backlog at once', async () => {
    const { code, rows } = await simulated('--faults', 'backlog')
    expect({ code, rows }).toEqual({ code: 0, rows: STEPS })
  })

  it('sticks at one value, and falls silent in the middle', async () => {
    expect((await simulated('--faults', 'stuck')).temps).toBeLessThan(60)
    expect((await simulated('--faults', 'silent')).rows).toBe(STEPS / 2)
  })

  it('ends with Ctrl+C also when the broker has gone, and says what no receipt covered', async () => {
    const service = await startLiveService(join(scratchFolder(), 'underjoist.db'))
    const program = startProgram(CLI, ['simulate', '--service', service.http, '--every', '1', '--json'], {
      UNDERJOIST_TOKEN: service.token,
    })
    const lines: string[] = []
    const ended = followProgram(program, (line) => {
      lines.push(line)
      if (!line.includes('send to')) return
      setTimeout(() => void service.end('SIGKILL').then(() => setTimeout(() => program.kill('SIGINT'), 3000)), 3000)
    })
    expect((await ended).code).toBe(1)
    const { readings, kept } = JSON.parse(lines.at(-1)!) as { readings: number; kept: number }
    expect(readings).toBeGreaterThan(0)
    expect(kept).toBeGreaterThan(0)
  })

  it('is not let in without a token, and says so', async () => {
    const service = await startLiveService(join(scratchFolder(), 'underjoist.db'))
    const program = startProgram(CLI, ['simulate', '--service', service.http], { UNDERJOIST_TOKEN: '' })
    expect(await followProgram(program, () => {})).toMatchObject({ code: 3, errors: expect.stringMatching(/sign in/i) })
  })

  it('hangs nothing in a house that is not invented, and says so', async () => {
    const { code, errors } = await simulated('--house', 'nobody')
    expect({ code, errors }).toEqual({ code: 3, errors: expect.stringContaining('nobody') })
  })
})
