import { createWriteStream } from 'node:fs'
import { pipeline } from 'node:stream/promises'
import type { Answers, ColumnAnswer, Look, Question } from '../../ingest/csv/understanding.ts'
import { importFile as bringIn, lookAt } from '../../ingest/import.ts'
import { receiptCsv } from '../../ingest/receiptCsv.ts'
import { localTimeText } from '../../series/localTime.ts'
import { QUANTITIES, QUANTITY_NAMES, type Quantity } from '../../series/quantities.ts'
import { findHouse, findProbesOfHouse } from '../../store/houses.ts'
import { findImport } from '../../store/imports.ts'
import type { Database } from '../../store/open.ts'
import {
  type Arguments,
  type Command,
  type Context,
  EXIT,
  type ExitCode,
  InputRefused,
  UsageError,
} from '../command.ts'
import { withDatabase } from '../open.ts'
import { createProgress } from '../progress.ts'
import { countsSentence } from '../words.ts'

export const importFile: Command = {
  name: 'import',
  usage: 'FILE --house HOUSE --probe [NAME=]LOGGER/PROBE [--look] [--answer KEY=VALUE] | --receipt N [FILE]',
  about: [
    "Brings a logger's or a weather station's CSV file in (plain or gzip). With --look it shows what was understood, what is",
    'worth a second look and what would be asked, and stores nothing. Where a file holds several probes, --probe NAME=LOGGER/PROBE',
    'says which probe of the house each name in the file is. Answers are kept for the next file of the same layout.',
  ].join('\n'),
  examples: [
    'import crawl.csv --house maple-hollow --probe L1/air --look',
    'import crawl.csv --house maple-hollow --probe L1/air --answer dateOrder=dmy',
    'import all-rooms.csv.gz --house maple-hollow --probe T1=L1/air --probe T2=L2/air',
    'import --receipt 12 refused-lines.csv',
  ],
  options: {
    house: { type: 'string', value: 'HOUSE', about: 'the house the readings are from; its clock reads the times' },
    probe: {
      type: 'string',
      multiple: true,
      value: '[NAME=]PROBE',
      about: 'whose readings these are; may be given several times',
    },
    look: { type: 'boolean', about: 'show what was understood and store nothing' },
    answer: {
      type: 'string',
      multiple: true,
      value: 'KEY=VALUE',
      about: 'answer to a question, such as dateOrder=dmy or columnUnits.Temp=°F',
    },
    receipt: {
      type: 'string',
      value: 'N',
      about: 'write the lines of import N that were not stored, with the reason of each',
    },
  },
  run: (args, context) =>
    withDatabase(context, async (deps) => {
      const receipt = args.option('receipt')
      if (receipt !== undefined) return writeReceipt(deps.db, receipt, args, context)

      const path = args.word(0, 'The file')
      const key = args.option('house')
      if (key === undefined) throw new UsageError('--house is missing: which house are these readings from?')
      const house = await findHouse(deps.db, key)
      if (!house) throw new InputRefused(`There is no house "${key}". \`underjoist houses\` lists them.`)
      const given = parseAnswers(args.options('answer'))

      const { look, answers } = await lookAt(deps, { path, houseId: house.id, answers: given }, context.signal)
      if (args.flag('look') || !look.ok || !look.ready) return showLook(look, house.timeZone, context)
      const probes = await namedProbes(deps.db, house.id, args.options('probe'))
      const progress = createProgress(context, 'Importing', context.now)
      const result = await bringIn(
        deps,
        { path, houseId: house.id, probes, answers, understanding: look.understanding },
        {
          signal: context.signal,
          canceled: () => context.signal.aborted,
          onProgress: (done, total, counts) => progress.show(done, total, countsSentence(counts)),
        },
      )
      progress.end()
      if (context.json) context.out(`${JSON.stringify(result, null, 2)}\n`)
      else {
        context.out(`${path}: ${countsSentence(result)}.\n`)
        if (result.note) context.out(`${result.note}\n`)
        if (result.refused + result.differs > 0) {
          context.out(
            `Each line that was not stored, with its reason: underjoist import --receipt ${result.importId}\n`,
          )
        }
      }
      return result.state === 'stored' ? EXIT.done : EXIT.refused
    }),
}

async function namedProbes(db: Database, houseId: number, given: string[]): Promise<Record<string, number>> {
  const known = await findProbesOfHouse(db, houseId)
  const names = known.map(({ logger, probe }) => `${logger}/${probe}`)
  if (given.length === 0)
    throw new UsageError(`--probe is missing. Probes of this house: ${names.join(', ') || 'none yet'}.`)
  return Object.fromEntries(
    given.map((text) => {
      const at = text.lastIndexOf('=')
      const [inFile, name] = at < 0 ? ['*', text] : [text.slice(0, at), text.slice(at + 1)]
      const probe = known[names.indexOf(name)]
      if (!probe)
        throw new InputRefused(
          `There is no probe "${name}" in this house. There are: ${names.join(', ') || 'none yet'}.`,
        )
      return [inFile, probe.id]
    }),
  )
}

/** `dateOrder=dmy`; a dot names a column: `columnUnits.Temp=°F`. */
function parseAnswers(given: string[]): Answers {
  const answers: Record<string, unknown> = {}
  for (const text of given) {
    const at = text.indexOf('=')
    if (at < 1) throw new UsageError(`--answer takes KEY=VALUE, not "${text}".`)
    const [name, value] = [text.slice(0, at), parseValue(text.slice(0, at), text.slice(at + 1))]
    const dot = name.indexOf('.')
    if (dot < 0) answers[name] = value
    else {
      const inner = (answers[name.slice(0, dot)] ??= {}) as Record<string, unknown>
      inner[name.slice(dot + 1)] = value
    }
  }
  return answers as Answers
}

function parseValue(name: string, text: string): unknown {
  if (name.startsWith('columnRoles.')) return columnRole(text)
  try {
    return JSON.parse(text)
  } catch {
    return text
  }
}

/** `tempC °C` is a quantity with its unit; `time` or `ignored` a role. */
function columnRole(text: string): ColumnAnswer {
  const [word, unit] = text.trim().split(/\s+/)
  const isQuantity = [...QUANTITY_NAMES, 'dewPointC', 'vaporPressurePa'].includes(word as Quantity)
  return (isQuantity ? { role: 'quantity', quantity: word, unit } : { role: word }) as ColumnAnswer
}

function showLook(look: Look, timeZone: string, context: Context): ExitCode {
  if (context.json) {
    context.out(`${JSON.stringify(look, null, 2)}\n`)
  } else if (!look.ok) {
    throw new InputRefused(`${look.refusal.message} ${look.refusal.hint}`)
  } else {
    const lines = [
      'Understood, nothing is stored yet:',
      ...look.understanding.sentences.map((sentence) => `  ${sentence}`),
    ]
    if (look.preview.length > 0) lines.push(`First rows, in local time of ${timeZone}:`)
    for (const row of look.preview.slice(0, 5)) {
      lines.push(`  line ${row.line}: ${row.text.slice(0, 100)}`)
      for (const { probeKey, at, values } of row.readings) {
        const said = (Object.keys(values) as Quantity[]).map((quantity) => valueText(quantity, values[quantity]!))
        lines.push(`    = ${localTimeText(at, timeZone).replace('T', ' ')}, ${probeKey}: ${said.join(', ')}`)
      }
    }
    if (look.warnings.length > 0)
      lines.push('Worth a second look:', ...look.warnings.map(({ message }) => `  ${message}`))
    for (const question of look.questions) lines.push(...questionLines(question))
    context.out(`${lines.join('\n')}\n`)
  }
  return look.ok && !look.ready ? EXIT.question : look.ok ? EXIT.done : EXIT.refused
}

/** As it will be stored. */
function valueText(quantity: Quantity, value: number): string {
  const { label, unit, storedStep } = QUANTITIES[quantity]
  return `${label} ${Number((Math.round(value / storedStep) * storedStep).toFixed(3))} ${unit}`
}

function questionLines({ key, column, why, choices, assumed }: Question): string[] {
  if (key === 'columnRoles' && column === undefined) {
    return [
      `Question: ${why}`,
      ...choices.map(({ label }) => `  ${label}`),
      `  --answer 'columnRoles.${choices[0]?.value ?? 'column 1'}=tempC °C' (or rhPct %, rainMm mm, batteryV V, …; once for each column)`,
    ]
  }
  const name = column === undefined ? key : `${key}.${column}`
  return [
    `${assumed === null ? 'Question' : `Assumed ${assumed}`}: ${why}`,
    ...choices.map(({ value, label, examples }) => `  --answer '${name}=${value}'  ${label}: ${examples.join('; ')}`),
  ]
}

async function writeReceipt(db: Database, given: string, args: Arguments, context: Context): Promise<ExitCode> {
  const id = Number(given)
  if (!Number.isInteger(id) || (await findImport(db, id)) === null)
    throw new InputRefused(`There is no import ${given}.`)
  const path = args.words()[0]
  if (path === undefined) for await (const piece of receiptCsv(db, id)) context.out(piece)
  else await pipeline(receiptCsv(db, id), createWriteStream(path))
  return EXIT.done
}
