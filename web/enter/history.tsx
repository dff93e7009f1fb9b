/** Who changed what, when; and putting a change back. */
import { useState } from 'preact/hooks'
import type { HistoryAnswer, HistoryEntry, HouseAnswer } from '../../server/http/contract/house.ts'
import { ofHouse, send, Trouble } from '../base/api.ts'
import { useLoad } from '../base/load.ts'
import { Awaiting } from '../base/parts.tsx'
import { Link } from '../base/router.tsx'
import { momentText } from '../base/time.ts'
import './enter.css'

const WORDS: Record<HistoryEntry['undo'], string> = {
  possible: '',
  undone: 'undone',
  'changed since': 'changed again since',
  'not possible': '',
}

export default function HistoryPage({ houseKey }: { houseKey: string }) {
  const history = useLoad<HistoryAnswer>(ofHouse(houseKey, '/history'))
  const house = useLoad<HouseAnswer>(ofHouse(houseKey))
  const [said, setSaid] = useState('')
  const timeZone = house.body?.house.timeZone ?? 'UTC'

  async function undo({ id, what }: HistoryEntry): Promise<void> {
    try {
      await send('POST', ofHouse(houseKey, `/history/${id}/undo`))
      setSaid(`Undone: ${what}.`)
    } catch (error) {
      if (!(error instanceof Trouble)) throw error
      setSaid(`${error.answer.message} ${error.answer.hint}`)
    }
    history.again()
  }

  return (
    <>
      <p class="small">
        <Link to={`/houses/${houseKey}`}>{house.body?.house.name ?? houseKey}</Link>
      </p>
      <h1 tabIndex={-1}>History</h1>
      <p role="status">{said}</p>
      {history.body === null ? (
        <Awaiting loaded={history} what="the history" again={history.again} />
      ) : (
        <ol class="history">
          {history.body.entries.map((entry) => (
            <li key={entry.id}>
              <p>
                <strong>{entry.what}</strong>
                <span class="quiet small">
                  {' '}
                  {momentText(entry.at, timeZone)}, {entry.who}
                </span>
              </p>
              {entry.changes.length > 0 && (
                <ul class="small">
                  {entry.changes.map((change) => (
                    <li key={change}>{change}</li>
                  ))}
                </ul>
              )}
              {entry.undo === 'possible' ? (
                <button type="button" onClick={() => void undo(entry)}>
                  Undo<span class="unseen">: {entry.what}</span>
                </button>
              ) : (
                <p class="small quiet">{WORDS[entry.undo]}</p>
              )}
            </li>
          ))}
        </ol>
      )}
    </>
  )
}
