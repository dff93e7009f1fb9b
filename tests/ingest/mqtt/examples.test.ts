/** The examples of firmware-notes are read as a logger would send them; what each is answered stands beside it. */
import { readdirSync, readFileSync } from 'node:fs'
import { basename, extname, resolve } from 'node:path'
import { Ajv2020 } from 'ajv/dist/2020.js'
import { describe, expect, test } from 'vitest'
import type { Message, MessageRefusal } from '../../../server/ingest/mqtt/message.ts'
import { readReadings } from '../../../server/ingest/mqtt/readingsPayload.ts'
import { readSenml } from '../../../server/ingest/mqtt/senmlPayload.ts'
import { readStatus } from '../../../server/ingest/mqtt/statusPayload.ts'
import { QUANTITIES, QUANTITY_NAMES } from '../../../server/series/quantities.ts'

const NOTES = resolve(import.meta.dirname, '../../../firmware-notes')
/** As the notes say. */
const ARRIVED_AT = Date.UTC(2026, 4, 18, 14, 30)
const ANSWER = '.answer.json'

const schema = JSON.parse(readFileSync(resolve(NOTES, 'readings.schema.json'), 'utf8'))
const fitsSchema = new Ajv2020({ allowUnionTypes: true, strictTypes: false }).compile(schema)

interface Example {
  title: string
  file: string
  payload: Buffer
  /** The word of the refusals before the dashes, where the folder tells of refusals. */
  reason: string
}

function examples(folder: string): Example[] {
  const dir = resolve(NOTES, 'examples', folder)
  const files = readdirSync(dir).filter((name) => !name.endsWith(ANSWER))
  return files.map((name) => ({
    title: `${folder}/${name}`,
    file: resolve(dir, basename(name, extname(name)) + ANSWER),
    payload: readFileSync(resolve(dir, name)),
    reason: name.split('--')[0]!.replaceAll('-', ' '),
  }))
}

const READERS = { readings: readReadings, senml: readSenml } as const
const FORMS = Object.keys(READERS) as (keyof typeof READERS)[]

const answerStands = ({ file }: Example, answer: unknown) =>
  expect(`${JSON.stringify(answer, null, 2)}\n`).toMatchFileSnapshot(file)

/** What the JavaScript engine says of broken JSON differs from version to version. */
const withoutEngine = ({ reason, problem, fix }: MessageRefusal): MessageRefusal => ({
  reason,
  problem: problem.replace(/(is not JSON): .*\.$/, '$1: …'),
  fix,
})

const told = ({ readings, sequence, told: { clockAt, ...rest }, refused }: Message) => ({
  readings: readings.map(({ at, ...reading }) => ({ at: new Date(at).toISOString(), ...reading })),
  sequence,
  told: { ...rest, ...(clockAt !== undefined && { clockAt: new Date(clockAt).toISOString() }) },
  refused,
})

const isHelpful = ({ problem, fix }: MessageRefusal) => {
  expect(problem).toMatch(/\S.*\.$/)
  expect(fix).toMatch(/\S.*[.?]$/)
}

describe.each(FORMS)('%s', (form) => {
  const read = READERS[form]

  test.each(examples(`${form}/good`))('$title is understood', async (example) => {
    const understood = read(example.payload, ARRIVED_AT)
    if (!understood.ok) throw new Error(understood.refusal.problem)
    expect(understood.message.refused).toEqual([])
    await answerStands(example, told(understood.message))
  })

  test.each(examples(`${form}/partly`))('$title is understood but for one part', async (example) => {
    const understood = read(example.payload, ARRIVED_AT)
    if (!understood.ok) throw new Error(understood.refusal.problem)
    expect(understood.message.readings.length).toBeGreaterThan(0)
    expect(understood.message.refused.map(({ reason }) => reason)).toEqual([example.reason])
    understood.message.refused.forEach(isHelpful)
    await answerStands(example, told(understood.message))
  })

  test.each(examples(`${form}/refused`))('$title is refused for that', async (example) => {
    const understood = read(example.payload, ARRIVED_AT)
    if (understood.ok) throw new Error('It was understood.')
    expect(understood.refusal.reason).toBe(example.reason)
    isHelpful(understood.refusal)
    await answerStands(example, withoutEngine(understood.refusal))
  })
})

describe('status', () => {
  test.each(examples('status/good'))('$title is understood', async (example) => {
    const status = readStatus(example.payload)
    if (!status.ok) throw new Error(status.refusal.problem)
    await answerStands(example, { online: status.online, told: status.told })
  })

  test.each(examples('status/refused'))('$title is refused for that', async (example) => {
    const status = readStatus(example.payload)
    if (status.ok) throw new Error('It was understood.')
    expect(status.refusal.reason).toBe(example.reason)
    isHelpful(status.refusal)
    await answerStands(example, withoutEngine(status.refusal))
  })
})

test('no answer stands without its example', () => {
  const all = readdirSync(resolve(NOTES, 'examples'), { recursive: true, encoding: 'utf8' })
  const stems = (names: string[]) => names.map((name) => name.slice(0, -extname(name).length))
  const answers = all.filter((name) => name.endsWith(ANSWER)).map((name) => name.slice(0, -ANSWER.length))
  const payloads = stems(all.filter((name) => extname(name) !== '' && !name.endsWith(ANSWER)))
  expect(answers.sort()).toEqual(payloads.sort())
})

describe('the schema of readings', () => {
  const json = ({ payload }: Example) => JSON.parse(payload.toString('utf8')) as unknown
  const isJson = (example: Example) => example.title.endsWith('.json')
  /** What depends on the clock of the reader, no schema can tell. */
  const timeless = ({ reason }: Example) => reason !== 'future' && reason !== 'ancient'
  const faulty = ['readings/partly', 'readings/refused'].flatMap(examples)

  test.each(examples('readings/good'))('takes $title', (example) => {
    expect(fitsSchema(json(example)), JSON.stringify(fitsSchema.errors)).toBe(true)
  })

  test.each(faulty.filter((one) => isJson(one) && timeless(one)))('does not take $title', (example) => {
    expect(fitsSchema(json(example))).toBe(false)
  })

  test('has the range of every quantity as the gate has it', () => {
    const { properties } = schema.$defs.reading
    for (const name of QUANTITY_NAMES.filter((one) => one !== 'waterPresent')) {
      const { min, max } = QUANTITIES[name]
      expect(properties[name], name).toMatchObject({ minimum: min, maximum: name === 'rhPct' ? 105 : max })
    }
  })
})
