/** A sheet of labels to print: code in large letters, name, and a QR code that leads to the logger's page. Never a secret. */
import { useEffect, useMemo } from 'preact/hooks'
import type { Logger, LoggersAnswer } from '../../server/http/contract/loggers.ts'
import { useCaller } from '../base/caller.ts'
import { useLoad } from '../base/load.ts'
import { Awaiting } from '../base/parts.tsx'
import { Link } from '../base/router.tsx'
import './labels.css'
import './loggers.css'
import { qrOf } from './qr.ts'
import { isThisMachine } from './words.ts'

export default function LabelsPage({ keys }: { keys: readonly string[] }) {
  const loaded = useLoad<LoggersAnswer>('/api/loggers')
  // Phones open the address that people know, whichever these pages were opened at.
  const origin = useCaller().origin ?? location.origin
  useEffect(() => {
    document.title = 'Labels · Underjoist'
  }, [])
  const all = loaded.body?.loggers ?? []
  const chosen = keys.flatMap((key) => all.find((logger) => logger.key === key) ?? [])
  const unknown = keys.filter((key) => !all.some((logger) => logger.key === key))
  return (
    <>
      <div class="no-print stack label-head">
        <p class="back small">
          <Link to="/loggers">Loggers</Link>
        </p>
        <h1 tabIndex={-1}>Labels</h1>
        <p>
          For A4 and Letter, 21 to a sheet, 62 by 36 mm. Print at 100 %, cut, and stick each on its logger. There is no
          secret on them: whoever finds one learns nothing but its code.
        </p>
        {isThisMachine(origin) && (
          <p class="alarm">
            The QR codes lead to {origin}, which only this machine opens. On another device type the code beside it
            under Loggers.
          </p>
        )}
        {loaded.body === null && <Awaiting loaded={loaded} what="the loggers" again={loaded.again} />}
        {loaded.body !== null && keys.length === 0 && <p>No logger is chosen. Open this sheet from a logger’s page.</p>}
        {loaded.body !== null && unknown.length > 0 && <p class="fault">There is no logger {unknown.join(', ')}.</p>}
        {chosen.length > 0 && (
          <p>
            <button type="button" class="first" onClick={() => print()}>
              Print
            </button>
          </p>
        )}
      </div>
      <ul class="labels" aria-label="Labels">
        {chosen.map((logger) => (
          <Label key={logger.key} logger={logger} origin={origin} />
        ))}
      </ul>
    </>
  )
}

function Label({ logger: { key, code, name }, origin }: { logger: Logger; origin: string }) {
  const address = `${origin}/loggers/${encodeURIComponent(key)}`
  const { size, path } = useMemo(() => qrOf(address), [address])
  return (
    <li class="label">
      <svg viewBox={`0 0 ${size} ${size}`} shape-rendering="crispEdges" role="img" aria-label={`QR code of ${address}`}>
        <rect width={size} height={size} fill="#fff" />
        <path d={path} fill="#000" />
      </svg>
      <div>
        <p class={(code ?? key).length > 8 ? 'label-code long' : 'label-code'}>{code ?? key}</p>
        {name !== null && <p class="label-name">{name}</p>}
      </div>
    </li>
  )
}
