/** The program dies in the one moment when a letter is with the server and not yet marked. */
import { join } from 'node:path'
import { expect, test } from 'vitest'
import { findLetter, storeLetter } from '../../../server/store/letters.ts'
import { openDatabase } from '../../../server/store/open.ts'
import { scratchFolder } from '../../support/database.ts'
import { mailServer } from '../../support/mailServer.ts'
import { followProgram, startProgram } from '../../support/tsx.ts'

const PROGRAM = new URL('../../support/mailerProgram.ts', import.meta.url).href
const START = Date.UTC(2026, 6, 1, 12)
const ELEVEN_MINUTES = 11 * 60_000

test('a letter that was sent and not marked goes once more, under the same Message-ID, and then no more', async () => {
  const path = join(scratchFolder(), 'underjoist.db')
  const server = await mailServer()
  const db = openDatabase(path)
  const of = { toAddress: 'ann@owner.example', toName: 'Ann', text: 'Words.', html: '<p>Words.' }
  await storeLetter(db, { onceKey: '1', kind: 'urgent', subject: 'Water', createdAt: START, ...of })
  db.close()

  const run = async (hold: 'hold' | 'go', at: number) => {
    const program = startProgram(PROGRAM, [path, server.url, hold, String(at)])
    return followProgram(program, (line) => {
      if (line === 'posted' && hold === 'hold') program.kill('SIGKILL')
    })
  }
  expect((await run('hold', START)).signal).toBe('SIGKILL')
  expect(server.mails).toHaveLength(1)
  const left = openDatabase(path)
  expect(await findLetter(left, 1)).toMatchObject({ state: 'sending', attempts: 1 })
  left.close()

  expect(await run('go', START + ELEVEN_MINUTES)).toMatchObject({ code: 0, errors: '' })
  expect(await run('go', START + 2 * ELEVEN_MINUTES)).toMatchObject({ code: 0, errors: '' })
  expect(server.mails.map(({ mail }) => mail.subject)).toEqual(['Water', 'Water'])
  expect(server.mails[1]!.mail.messageId).toBe(server.mails[0]!.mail.messageId)
  expect(server.mails[1]!.mail.date).toBe(server.mails[0]!.mail.date)
}, 60_000)
