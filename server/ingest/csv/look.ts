/** Looks at a file before anything is stored: what was understood, what must be asked, what looks wrong. */

import { checkedAnswers } from './answers.ts'
import { dryRun, fillIn, followsNoDst, repeatedImpossible, repeatedOnce, settleRowStep } from './dryRun.ts'
import { readHead } from './head.ts'
import { steadyKinds } from './kinds.ts'
import { draftOf, layoutOf } from './layout.ts'
import { askUnlikelyUnit, settleDatesAndUnits } from './openPoints.ts'
import { previewOf } from './preview.ts'
import { askColumns, askDecimalMark, askKinds, askSumsMark, askTypicalYear, askZone } from './questions.ts'
import { sentencesOf } from './sentences.ts'
import { FileTrouble } from './trouble.ts'
import type { Answers, Column, Look, LookContext, Question, Source, Understanding } from './understanding.ts'
import { warningsOf } from './warnings.ts'
import { zoneOfFile } from './zoneBasis.ts'

/**
 * Reads the whole file once as a dry run (a second time only where units or date order are open) in constant memory.
 * Nothing is stored. A damaged file is refused here.
 */
export async function lookAtFile(source: Source, context: LookContext): Promise<Look> {
  try {
    return await look(source, context, checkedAnswers(context.answers ?? {}))
  } catch (trouble) {
    if (trouble instanceof FileTrouble) return { ok: false, refusal: trouble.refusal }
    throw trouble
  }
}

async function look(source: Source, context: LookContext, answers: Answers): Promise<Look> {
  const head = await readHead(source, context)
  const layout = layoutOf(source.name, head, answers)
  const draft = draftOf(head, layout, answers)
  const questions: Question[] = []
  const quantities = draft.columns.filter((column) => column.role === 'quantity')
  if (quantities.length === 0) {
    const question = askColumns(layout)
    if (!question) {
      throw new FileTrouble(
        'NO_QUANTITY',
        `${source.name} has no column with temperature, humidity, wood moisture, rain or another quantity that is kept.`,
        'Check that the export holds readings; if a column is one of these, say so by its name.',
      )
    }
    questions.push(question)
  }
  if (!layout.decimalMarkSure) questions.push(askDecimalMark(layout))
  await settleDatesAndUnits(source, context, head, layout, draft, answers, questions)
  const { zone, basis, twoClocks } = zoneOfFile(layout, context.timeZone, answers)
  draft.time.zone = zone
  draft.timeZoneBasis = basis
  if (twoClocks) questions.push(askZone(context.timeZone, 'two clocks'))
  if (draft.typicalYear && draft.typicalYearAs === null) questions.push(askTypicalYear(context.now))
  const trial = trialOf(draft, context)
  draft.time.clock12h = layout.kinds.some(
    (kind, i) => layout.time.roles.has(i) && /[ap]\.?m\.?\s*$/i.test(kind.texts[0] ?? ''),
  )
  settleRowStep(head, draft, trial)
  if (draft.columns.some((column) => column.role === 'kind') && answers.rowKinds === undefined) {
    draft.keptKinds = steadyKinds(head, trialOf(draft, context), layout)
    questions.push(askKinds(layout, draft))
  }
  let run = await dryRun(source, context, trialOf(draft, context))
  if (followsNoDst(run, draft) && !answers.timeZone) {
    const fixed = askZone(context.timeZone, 'missing hour')
    questions.push(fixed)
    Object.assign(draft.time, { zone: fixed.assumed })
    draft.timeZoneBasis = 'fixed offset'
    run = { ...(await dryRun(source, context, trialOf(draft, context))), ignoredDst: true }
  }
  const markers = repeatedImpossible(run.reader)
  if (markers.length > 0) {
    draft.missingNumbers.push(...markers)
    run = { ...(await dryRun(source, context, trialOf(draft, context))), ignoredDst: run.ignoredDst }
  }
  fillIn(draft, run)
  if (draft.rows === 0) {
    throw new FileTrouble(
      'NO_ROWS',
      `${source.name} has no row whose time could be read.`,
      'Check the column with the date and time, or answer the date order.',
    )
  }
  if (repeatedOnce(run, draft)) questions.push(askZone(context.timeZone, 'repeated hour'))
  for (const column of quantities) askUnlikelyUnit(column, draft, answers, questions)
  if (draft.time.dateOnly === null && sumsOnly(quantities) && !answers.sumsMark) questions.push(askSumsMark())
  if (answers.sumsMark === 'start' && sumsOnly(quantities) && draft.time.dateOnly === null) {
    draft.time.shiftMs = draft.stepMs ?? 0
    draft.firstAt += draft.time.shiftMs
    draft.lastAt += draft.time.shiftMs
    for (const probe of draft.probes) {
      probe.firstAt += draft.time.shiftMs
      probe.lastAt += draft.time.shiftMs
    }
  }
  draft.sentences = sentencesOf(draft, run.reader.summary, layout)
  return {
    ok: true,
    understanding: draft,
    questions,
    warnings: warningsOf(draft, run, context),
    preview: previewOf(head, trialOf(draft, context)),
    refused: run.refused,
    ready: questions.every((question) => question.assumed !== null),
  }
}

const sumsOnly = (columns: readonly Column[]): boolean =>
  columns.length > 0 && columns.every((c) => c.quantity === 'rainMm' || c.quantity === 'condensateL')

/** For the dry run a typical year goes to the last full year until somebody says which. */
const trialOf = (draft: Understanding, context: LookContext): Understanding =>
  draft.typicalYear && draft.typicalYearAs === null
    ? { ...draft, typicalYearAs: new Date(context.now).getUTCFullYear() - 1 }
    : draft
