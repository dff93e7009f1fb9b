/** One dropped file: what was understood, what is asked, where it belongs, and storing it. */
import { useEffect, useState } from 'preact/hooks'
import type { ErrorAnswer } from '../../server/http/contract/error.ts'
import type { Answers, Destination, ImportLines, ImportProgress, KeptFile } from '../../server/http/contract/files.ts'
import type { HouseTree } from '../../server/http/contract/house.ts'
import type { HousePage } from '../../server/http/contract/page.ts'
import { get, ofHouse, send, Trouble } from '../base/api.ts'
import { Scrolls, TroubleBox } from '../base/parts.tsx'
import { Destinations, firstDestinations } from './destinations.tsx'
import { FirstLines } from './firstLines.tsx'
import { Questions } from './questions.tsx'
import { Receipt } from './receipt.tsx'

export interface OneFileGiven {
  kept: KeptFile
  tree: HouseTree
  probes: HousePage['probes']
  /** Whose file it is said to be. */
  logger: string | null
  onDrop: () => void
  onStored: () => void
}

const POLL_MS = 300

export function OneFile({ kept: first, tree, probes, logger, onDrop, onStored }: OneFileGiven) {
  const [kept, setKept] = useState(first)
  const [destinations, setDestinations] = useState<Record<string, Destination>>(() =>
    firstDestinations(first.look, tree, probes, logger),
  )
  const [trouble, setTrouble] = useState<ErrorAnswer | null>(null)
  const [looking, setLooking] = useState(false)
  const [importId, setImportId] = useState<number | null>(null)
  const { look } = kept
  const path = ofHouse(tree.key, `/files/${kept.file}`)

  async function again(answers: Answers): Promise<void> {
    setLooking(true)
    setTrouble(null)
    try {
      const next = await send<KeptFile>('POST', `${path}/look`, { answers })
      setKept(next)
      setDestinations((present) => ({ ...firstDestinations(next.look, tree, probes, logger), ...present }))
    } catch (error) {
      if (!(error instanceof Trouble)) throw error
      setTrouble(error.answer)
    }
    setLooking(false)
  }

  async function store(): Promise<void> {
    setTrouble(null)
    if (!look.ok) return
    const wanted = Object.fromEntries(
      look.understanding.probes.map(({ probeKey }) => [probeKey, destinations[probeKey]]),
    )
    try {
      const begun = await send<{ importId: number }>('POST', `${path}/store`, { answers: kept.answers, probes: wanted })
      setImportId(begun.importId)
    } catch (error) {
      if (!(error instanceof Trouble)) throw error
      setTrouble(error.answer)
    }
  }

  const size = `${(kept.bytes / 1024).toLocaleString('en-US', { maximumFractionDigits: 0 })} kB`
  const open = look.ok ? look.questions.filter(({ assumed }) => assumed === null).length : 0
  const placed = look.ok && look.understanding.probes.every(({ probeKey }) => destinations[probeKey] !== undefined)
  return (
    <section class="file" aria-label={kept.name}>
      <h2>
        {kept.name} <span class="small quiet">{size}</span>
      </h2>
      {importId !== null ? (
        <Storing importId={importId} onStored={onStored} />
      ) : !look.ok ? (
        <>
          <p class="fault-line">
            <strong>This file cannot be read.</strong> {look.refusal.message} {look.refusal.hint}
          </p>
          <Head kept={kept} />
        </>
      ) : (
        <>
          {kept.knownImportId !== null && (
            <p class="fault-line">
              This very file was brought in before. Storing it again changes nothing: its readings count as repeated.
            </p>
          )}
          <h3>What was understood</h3>
          <ul class="understood">
            {look.understanding.sentences.map((sentence) => (
              <li key={sentence}>{sentence}</li>
            ))}
          </ul>
          <FirstLines kept={kept} timeZone={tree.timeZone} onAnswers={(answers) => void again(answers)} />
          {look.warnings.length > 0 && (
            <ul class="warnings" aria-label="Warnings">
              {look.warnings.map(({ message }) => (
                <li key={message}>{message}</li>
              ))}
            </ul>
          )}
          <Questions kept={kept} onAnswers={(answers) => void again(answers)} />
          <Destinations look={look} tree={tree} probes={probes} chosen={destinations} onChange={setDestinations} />
        </>
      )}
      {trouble && <TroubleBox trouble={trouble} />}
      {importId === null && (
        <div class="row">
          {look.ok && (
            <button type="button" class="first" disabled={looking || open > 0 || !placed} onClick={() => void store()}>
              Store these readings
            </button>
          )}
          <button type="button" onClick={onDrop}>
            Leave it out
          </button>
          <p role="status" class="small">
            {looking
              ? 'Looking again.'
              : open > 0
                ? `${open === 1 ? 'One question' : `${open} questions`} above must be answered first.`
                : ''}
          </p>
        </div>
      )}
    </section>
  )
}

function Head({ kept: { head } }: { kept: KeptFile }) {
  if (head.length === 0) return null
  return (
    <Scrolls label="First lines of the file" class="raw">
      <pre>{head.map(({ line, text }) => `${String(line).padStart(3)}  ${text}`).join('\n')}</pre>
    </Scrolls>
  )
}

function Storing({ importId, onStored }: { importId: number; onStored: () => void }) {
  const [progress, setProgress] = useState<ImportProgress | null>(null)
  const [lines, setLines] = useState<ImportLines | null>(null)
  const [trouble, setTrouble] = useState<ErrorAnswer | null>(null)
  const ended = progress !== null && progress.state !== 'waiting' && progress.state !== 'running'
  useEffect(() => {
    if (ended) {
      get<ImportLines>(`/api/imports/${importId}/lines`).then(setLines, () => {})
      onStored()
      return
    }
    const timer = setInterval(() => {
      get<ImportProgress>(`/api/imports/${importId}/progress`).then(setProgress, (error: Trouble) =>
        setTrouble(error.answer),
      )
    }, POLL_MS)
    return () => clearInterval(timer)
  }, [importId, ended])
  if (trouble) return <TroubleBox trouble={trouble} />
  if (!ended) {
    return (
      <div role="status" class="stack">
        <p>Storing. {progress?.message}</p>
        <div class="row">
          <progress max={1} value={progress?.done} aria-label="Part of the file that is stored" />
          <button type="button" onClick={() => void send('POST', `/api/imports/${importId}/cancel`)}>
            Cancel
          </button>
        </div>
      </div>
    )
  }
  return <Receipt progress={progress} lines={lines} />
}
