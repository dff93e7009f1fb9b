/** People at the command line, as on a server without mail. What takes standard input runs as the real program. */
import { spawnSync } from 'node:child_process'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import { Readable } from 'node:stream'
import { afterAll, beforeAll, expect, test, vi } from 'vitest'
import { parseArguments } from '../../server/cli/command.ts'
import { person } from '../../server/cli/commands/person.ts'
import { createPeopleDesk } from '../../server/people/createPeopleDesk.ts'
import { openDatabase } from '../../server/store/open.ts'
import { storeTestHouse, TEST_HOUSE } from '../support/studiedHouse.ts'

const ROOT = resolve(import.meta.dirname, '../..')
const PASSWORD = 'wet joists dry slowly'
const HERE = { address: '127.0.0.1', agent: 'a test' }
const ANN = ['--name', 'Ann Example', '--email', 'Ann@under.example', '--role', 'contractor']
const folder = mkdtempSync(join(tmpdir(), 'underjoist-people-'))
const database = join(folder, 'people.db')

beforeAll(async () => {
  vi.stubEnv('PUBLIC_URL', 'https://under.example')
  const db = openDatabase(database)
  await storeTestHouse(db, { ...TEST_HOUSE, key: 'maple' })
  db.close()
})
afterAll(() => {
  vi.unstubAllEnvs()
  rmSync(folder, { recursive: true })
})

/** With that on standard input. */
async function given(input: string, ...argv: string[]): Promise<string> {
  const stdin = vi.spyOn(process, 'stdin', 'get').mockReturnValue(Readable.from([input]) as typeof process.stdin)
  try {
    return await asked(...argv)
  } finally {
    stdin.mockRestore()
  }
}

/** Answers what is printed. */
async function asked(...argv: string[]): Promise<string> {
  const json = argv.includes('--json')
  let printed = ''
  await person.run(
    parseArguments(
      person,
      argv.filter((word) => word !== '--json'),
    ),
    {
      databasePath: database,
      json,
      now: Date.now,
      who: 'tester',
      signal: new AbortController().signal,
      terminal: false,
      out: (text) => (printed += text),
      err: (text) => (printed += text),
    },
  )
  return printed
}

function program(args: string[], input: string) {
  const run = spawnSync(process.execPath, ['--import', 'tsx', 'server/cli.ts', 'person', ...args, '--db', database], {
    cwd: ROOT,
    encoding: 'utf8',
    input,
  })
  return { code: run.status, out: run.stdout, err: run.stderr }
}

async function onDesk<T>(work: (desk: ReturnType<typeof createPeopleDesk>) => Promise<T>): Promise<T> {
  const db = openDatabase(database)
  try {
    return await work(createPeopleDesk({ db, now: Date.now, publicUrl: 'https://under.example' }))
  } finally {
    db.close()
  }
}

test('the first account is made without mail and without the one-time code, and its person signs in', async () => {
  expect(await asked('list')).toContain('There is nobody yet')
  await expect(given('short\n', 'add', ...ANN, '--password-stdin')).rejects.toThrow(
    /^ann@under\.example is there, but without this password\. The password has 5 characters/,
  )

  expect(program(['invite', 'ann@under.example', '--password-stdin'], `${PASSWORD}\n`)).toEqual({
    code: 0,
    out: 'ann@under.example (contractor) can sign in.\n',
    err: '',
  })
  await onDesk(async (desk) => {
    expect(await desk.begun()).toBe(true)
    expect(await desk.firstCode()).toBeNull()
    const { caller } = await desk.signIn({ email: 'ann@under.example', password: PASSWORD }, HERE)
    expect(caller).toMatchObject({ role: 'contractor', houses: 'all' })
    // The session that choosing the password opened is gone: this one alone is left.
    expect(await desk.sessions(caller.personId)).toHaveLength(1)
  })
}, 180_000)

test('a password must come, in one line', async () => {
  const args = ['invite', 'ann@under.example', '--password-stdin']
  await expect(given('', ...args)).rejects.toThrow('standard input is empty')
  await expect(given('one\ntwo\n', ...args)).rejects.toThrow('has several')
})

test('an invitation is an address of the public name whose code opens the account', async () => {
  const bo = ['--name', 'Bo Example', '--email', 'bo@under.example', '--role', 'technician', '--house', 'maple']
  const added = await asked('add', ...bo)
  expect(added).toMatch(/within 7 days; .*:\nhttps:\/\/under\.example\/password#\S{30,}\n$/)
  expect(await asked('list')).toBe(
    'ann@under.example  Ann Example, contractor\nbo@under.example   Bo Example, technician of maple; no password yet\n',
  )
  // The same waits in the outbox of the service; Ann, who was given a password, is not asked to choose one.
  const db = openDatabase(database, { readOnly: true })
  const waiting = db.raw.prepare('select to_address from letters').pluck().all()
  db.close()
  expect(waiting).toEqual(['bo@under.example'])
  const code = added.trim().split('#')[1]!
  await onDesk((desk) => desk.setPassword({ code, password: PASSWORD }, HERE))
  expect(JSON.parse(await asked('list', '--json'))).toMatchObject([
    {},
    { email: 'bo@under.example', houses: ['maple'], hasPassword: true },
  ])
})

test('somebody is shut out, told of, and taken out for good', async () => {
  expect(await asked('close', 'BO@under.example')).toContain('is shut out')
  await expect(onDesk((desk) => desk.signIn({ email: 'bo@under.example', password: PASSWORD }, HERE))).rejects.toThrow()
  const told = await asked('export', 'bo@under.example')
  expect(JSON.stringify(JSON.parse(told))).toContain('Bo Example')
  expect(told).not.toMatch(/argon2|hash"/i)

  await expect(asked('delete', 'bo@under.example')).rejects.toThrow('Nothing was done.')
  expect(await asked('delete', 'bo@under.example', '--yes')).toBe('bo@under.example is deleted.\n')
  expect(await asked('list')).not.toContain('bo@')
})

test.each([
  ['delete', 'ann@under.example', '--yes'],
  ['close', 'ann@under.example'],
])('the last contractor cannot lock the firm out: %s', async (...args) => {
  await expect(asked(...args)).rejects.toMatchObject({ name: 'PeopleError', code: 'LAST_CONTRACTOR' })
  expect(await asked('list')).toBe('ann@under.example  Ann Example, contractor\n')
})

test.each([
  [['add', ...ANN.slice(2)], 'UsageError', '--name is missing'],
  [['add', ...ANN.slice(0, 5), 'boss'], 'UsageError', '--role takes contractor or technician or owner'],
  [['promote', 'ann@under.example'], 'UsageError', 'person takes add, invite, list'],
  [['close'], 'UsageError', 'Whose address is missing'],
  [['close', 'nobody@under.example'], 'InputRefused', 'Nobody has the address nobody@under.example'],
  [['add', ...ANN], 'PeopleError', ''],
])('%j is refused', async (args, name, sentence) => {
  await expect(asked(...args)).rejects.toMatchObject({ name, message: expect.stringContaining(sentence) })
})
