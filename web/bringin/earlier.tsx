/** Files brought in before, each of which can be taken back. */
import { useState } from 'preact/hooks'
import type { ImportsAnswer } from '../../server/http/contract/files.ts'
import { ofHouse, send, Trouble } from '../base/api.ts'
import { useLoad } from '../base/load.ts'
import { Awaiting } from '../base/parts.tsx'
import { momentText } from '../base/time.ts'

export function Earlier({ houseKey, timeZone }: { houseKey: string; timeZone: string }) {
  const loaded = useLoad<ImportsAnswer>(ofHouse(houseKey, '/imports'))
  const [sure, setSure] = useState<number | null>(null)
  const [said, setSaid] = useState('')
  const imports = loaded.body?.imports ?? []

  async function undo(id: number, name: string): Promise<void> {
    setSure(null)
    try {
      const { removed } = await send<{ removed: number }>('POST', `/api/imports/${id}/undo`)
      setSaid(`${name} was taken back: ${removed.toLocaleString('en-US')} readings removed.`)
    } catch (error) {
      if (!(error instanceof Trouble)) throw error
      setSaid(`${error.answer.message} ${error.answer.hint}`)
    }
    loaded.again()
  }

  if (loaded.body === null) return <Awaiting loaded={loaded} what="earlier files" again={loaded.again} />
  if (imports.length === 0) return null
  return (
    <section class="earlier" aria-labelledby="earlier-head">
      <h2 id="earlier-head">Brought in before</h2>
      <p role="status">{said}</p>
      <ul>
        {imports.map((one) => (
          <li key={one.id}>
            <p>
              <strong>{one.fileName}</strong>{' '}
              <span class="small quiet">
                {momentText(one.startedAt, timeZone)}; {one.state}
              </span>
            </p>
            <p class="small">
              {one.stored.toLocaleString('en-US')} stored, {one.repeated.toLocaleString('en-US')} repeated,{' '}
              {one.refused.toLocaleString('en-US')} refused. {one.why}{' '}
              {one.refused + one.differs > 0 && <a href={`/api/imports/${one.id}/receipt.csv`}>Receipt</a>}
            </p>
            {one.canUndo &&
              (sure === one.id ? (
                <p class="row">
                  <span>Remove the {one.stored.toLocaleString('en-US')} readings that this file brought?</span>
                  <button type="button" class="first" onClick={() => void undo(one.id, one.fileName)}>
                    Yes, take {one.fileName} back
                  </button>
                  <button type="button" onClick={() => setSure(null)}>
                    Keep them
                  </button>
                </p>
              ) : (
                <button type="button" onClick={() => setSure(one.id)}>
                  Undo<span class="unseen"> the import of {one.fileName}</span>
                </button>
              ))}
          </li>
        ))}
      </ul>
    </section>
  )
}
