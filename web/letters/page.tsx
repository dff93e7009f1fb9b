/** The outbox: which letters went to whom, which wait, and what each says. */
import { useEffect, useState } from 'preact/hooks'
import type { LetterAnswer, LetterRowAnswer, LettersAnswer } from '../../server/http/contract/letters.ts'
import { get, send, Trouble } from '../base/api.ts'
import { useLoad } from '../base/load.ts'
import { Awaiting } from '../base/parts.tsx'
import { Link } from '../base/router.tsx'
import { momentText } from '../base/time.ts'
import './letters.css'

const ASK_AGAIN_MS = 30_000
const zone = Intl.DateTimeFormat().resolvedOptions().timeZone
const when = (at: number) => momentText(at, zone)

export default function LettersPage() {
  const loaded = useLoad<LettersAnswer>('/api/letters')
  const [older, setOlder] = useState<LetterRowAnswer[]>([])
  const [more, setMore] = useState<boolean | null>(null)
  const { body, again } = loaded
  useEffect(() => {
    document.title = 'Letters · Underjoist'
    const timer = setInterval(again, ASK_AGAIN_MS)
    return () => clearInterval(timer)
  }, [again])

  async function askOlder(before: number) {
    const answer = await get<LettersAnswer>(`/api/letters?before=${before}`)
    setOlder((had) => [...had, ...answer.letters])
    setMore(answer.more)
  }

  if (body === null) {
    return (
      <>
        <h1 tabIndex={-1}>Letters</h1>
        <Awaiting loaded={loaded} what="the letters" again={again} />
      </>
    )
  }
  const letters = [...body.letters, ...older.filter(({ id }) => !body.letters.some((row) => row.id === id))]
  const last = letters.at(-1)
  return (
    <>
      <h1 tabIndex={-1}>Letters</h1>
      <p>
        {body.goesTo === null
          ? 'No way out is set up: letters wait here.'
          : `Letters go to ${body.goesTo}. Those that can wait do not go at night, by the clock of the house.`}
      </p>
      {body.problem !== null && <p role="alert">No letters go out now. {body.problem}</p>}
      {letters.length === 0 && <p class="quiet">No letter was written yet.</p>}
      <ul class="letters">
        {letters.map((letter) => (
          <OneLetter key={letter.id} letter={letter} asOf={body.asOf} onChanged={again} />
        ))}
      </ul>
      {last !== undefined && (more ?? body.more) && (
        <button type="button" onClick={() => askOlder(last.id)}>
          Show older letters
        </button>
      )}
    </>
  )
}

function stateWords({ state, sentAt, notBeforeAt, attempts }: LetterRowAnswer, asOf: number): string {
  switch (state) {
    case 'sent':
      return `Sent ${when(sentAt ?? asOf)}`
    case 'sending':
      return 'Being sent'
    case 'given up':
      return 'Given up'
    case 'not wanted':
      return 'Not sent: stopped by its reader'
    case 'waiting':
      if (attempts > 0) return `Tried ${attempts === 1 ? 'once' : `${attempts} times`}, again ${when(notBeforeAt)}`
      return notBeforeAt > asOf ? `Waits until ${when(notBeforeAt)}` : 'Waits'
  }
}

function OneLetter({ letter, asOf, onChanged }: { letter: LetterRowAnswer; asOf: number; onChanged: () => void }) {
  const [open, setOpen] = useState(false)
  const [said, setSaid] = useState('')
  async function tryAgain() {
    try {
      await send('POST', `/api/letters/${letter.id}/again`)
      onChanged()
    } catch (error) {
      setSaid(error instanceof Trouble ? `${error.answer.message} ${error.answer.hint}` : 'It did not work.')
    }
  }
  return (
    <li>
      <details onToggle={(event) => setOpen(event.currentTarget.open)}>
        <summary>
          <strong>{letter.subject}</strong>
          <span class="small">
            {stateWords(letter, asOf)}. To {letter.toName} ({letter.toAddress}), written {when(letter.createdAt)}
          </span>
        </summary>
        {letter.house !== null && (
          <p class="small">
            About <Link to={`/houses/${encodeURIComponent(letter.house)}`}>{letter.houseName ?? letter.house}</Link>
          </p>
        )}
        {open && <Words id={letter.id} />}
      </details>
      {letter.problem !== null && <p class="small">{letter.problem}</p>}
      {letter.state === 'given up' && !letter.secret && (
        <button type="button" onClick={tryAgain}>
          Try again
        </button>
      )}
      <p role="status" class="small">
        {said}
      </p>
    </li>
  )
}

function Words({ id }: { id: number }) {
  const loaded = useLoad<LetterAnswer>(`/api/letters/${id}`)
  const [plain, setPlain] = useState(false)
  const { body, again } = loaded
  if (body === null) return <Awaiting loaded={loaded} what="the letter" again={again} />
  if (body.secret) return <p class="small">Its words carry a secret and are shown to nobody.</p>
  return (
    <>
      <div class="row" role="group" aria-label="How it is shown">
        <button type="button" aria-pressed={!plain} onClick={() => setPlain(false)}>
          As a page
        </button>
        <button type="button" aria-pressed={plain} onClick={() => setPlain(true)}>
          As text
        </button>
      </div>
      {plain ? (
        <pre class="words">{body.text}</pre>
      ) : (
        // Nothing of it runs, is sent or leads anywhere: links of a letter are its reader's own.
        <iframe class="words" title={`Letter: ${body.subject}`} sandbox="" srcdoc={body.html} />
      )}
    </>
  )
}
