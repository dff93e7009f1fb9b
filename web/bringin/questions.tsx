/** What the file leaves open, each with what its first rows would mean. */
import type { Answers, KeptFile, Question } from '../../server/http/contract/files.ts'

export function Questions({ kept, onAnswers }: { kept: KeptFile; onAnswers: (answers: Answers) => void }) {
  if (!kept.look.ok || kept.look.questions.length === 0) return null
  return (
    <div class="questions stack-14">
      {kept.look.questions.map((question) => (
        <fieldset key={`${question.key} ${question.column ?? ''}`} class="question">
          <legend>{question.assumed === null ? 'Please answer' : 'Assumed, please check'}</legend>
          <p>{question.why}</p>
          {question.choices.map((choice) => (
            <label key={choice.value} class="choice">
              <input
                type="radio"
                name={`${kept.file} ${question.key} ${question.column ?? ''}`}
                checked={answered(question, kept.answers) === choice.value}
                onChange={() => onAnswers(withAnswer(kept.answers, question, choice.value))}
              />
              <span>
                {choice.label}
                {choice.examples.length > 0 && <span class="small quiet"> {choice.examples.join('; ')}</span>}
              </span>
            </label>
          ))}
        </fieldset>
      ))}
    </div>
  )
}

/** What counts now: the answer that was given, else what is assumed. */
export function answered(question: Question, answers: Answers): string | null {
  const { key, column } = question
  if (key === 'columnUnits') return (column && answers.columnUnits?.[column]) ?? question.assumed
  if (key === 'rowKinds') return answers.rowKinds?.join() ?? question.assumed
  if (key === 'columnRoles') return question.assumed
  const given = answers[key]
  return given === undefined ? question.assumed : String(given)
}

/** One answer added to those given; one for several columns is given to each of them. */
export function withAnswer(answers: Answers, question: Question, value: string): Answers {
  const { key } = question
  const columns = question.columns ?? (question.column === undefined ? [] : [question.column])
  if (key === 'columnUnits') {
    return {
      ...answers,
      columnUnits: { ...answers.columnUnits, ...Object.fromEntries(columns.map((column) => [column, value])) },
    } as Answers
  }
  if (key === 'columnRoles') {
    return {
      ...answers,
      columnRoles: {
        ...answers.columnRoles,
        ...Object.fromEntries(columns.map((column) => [column, JSON.parse(value)])),
      },
    } as Answers
  }
  if (key === 'rowKinds') return { ...answers, rowKinds: value === '' ? [] : value.split(',') }
  if (key === 'typicalYear') return { ...answers, typicalYear: Number(value) }
  return { ...answers, [key]: value } as Answers
}
