/** Bring in readings: drop files, see what was understood before anything is stored, correct it, store it, read the receipt. */
import { useState } from 'preact/hooks'
import type { ErrorAnswer } from '../../server/http/contract/error.ts'
import type { KeptFile, KeptFilesAnswer } from '../../server/http/contract/files.ts'
import type { HouseAnswer } from '../../server/http/contract/house.ts'
import type { HousePage } from '../../server/http/contract/page.ts'
import { ask, ofHouse, send, Trouble } from '../base/api.ts'
import { useLoad } from '../base/load.ts'
import { Awaiting, InventedStamp, TroubleBox } from '../base/parts.tsx'
import { Link } from '../base/router.tsx'
import './bringin.css'
import { Earlier } from './earlier.tsx'
import { OneFile } from './oneFile.tsx'

export default function BringInPage({ houseKey }: { houseKey: string }) {
  const house = useLoad<HouseAnswer>(ofHouse(houseKey))
  const page = useLoad<HousePage>(ofHouse(houseKey, '/page'))
  const [files, setFiles] = useState<KeptFile[]>([])
  const [uploading, setUploading] = useState<string | null>(null)
  const [trouble, setTrouble] = useState<ErrorAnswer | null>(null)
  const [stored, setStored] = useState(0)
  const [logger] = useState(() => new URLSearchParams(location.search).get('logger'))

  async function take(list: readonly File[]): Promise<void> {
    if (list.length === 0) return
    setUploading(list.length === 1 ? list[0]!.name : `${list.length} files`)
    setTrouble(null)
    try {
      const form = new FormData()
      for (const file of list) form.append('files', file, file.name)
      const { body } = await ask<KeptFilesAnswer>(ofHouse(houseKey, '/files'), { method: 'POST', body: form })
      setFiles((present) => [...present, ...body.files])
    } catch (error) {
      if (!(error instanceof Trouble)) throw error
      setTrouble(error.answer)
    }
    setUploading(null)
  }

  function drop(file: KeptFile): void {
    setFiles((present) => present.filter((one) => one.file !== file.file))
    void send('DELETE', ofHouse(houseKey, `/files/${file.file}`)).catch(() => {}) // it goes by itself after a day
  }

  if (house.body === null) {
    return (
      <>
        <h1 tabIndex={-1}>Bring in readings</h1>
        <Awaiting loaded={house} what="the house" again={house.again} />
      </>
    )
  }
  const tree = house.body.house
  const loggerName = page.body?.probes.find((probe) => probe.logger === logger)?.loggerName
  return (
    <>
      <p class="row small">
        <Link to={`/houses/${houseKey}`}>{tree.name}</Link>
        {tree.invented && <InventedStamp />}
      </p>
      <h1 tabIndex={-1}>Bring in readings{loggerName !== undefined && ` of ${loggerName}`}</h1>
      <p>
        Any logger’s or weather station’s CSV, plain or gzipped. What was understood is shown first; nothing is stored
        before you say so. A station that is fetched by itself is entered under{' '}
        <Link to="/stations">Weather stations</Link>.
      </p>
      <DropZone busy={uploading !== null} onFiles={(list) => void take(list)} />
      <p role="status">{uploading !== null ? `Reading ${uploading}.` : ''}</p>
      {trouble && <TroubleBox trouble={trouble} />}
      {files.map((file) => (
        <OneFile
          key={file.file}
          kept={file}
          tree={tree}
          probes={page.body?.probes ?? []}
          logger={logger}
          onDrop={() => drop(file)}
          onStored={() => {
            setStored((n) => n + 1)
            house.again()
            page.again()
          }}
        />
      ))}
      <Earlier key={stored} houseKey={houseKey} timeZone={tree.timeZone} />
    </>
  )
}

function DropZone({ busy, onFiles }: { busy: boolean; onFiles: (files: File[]) => void }) {
  const [over, setOver] = useState(false)
  return (
    <div
      class={`dropzone${over ? ' over' : ''}`}
      onDragOver={(event) => {
        event.preventDefault()
        setOver(true)
      }}
      onDragLeave={() => setOver(false)}
      onDrop={(event) => {
        event.preventDefault()
        setOver(false)
        onFiles([...(event.dataTransfer?.files ?? [])])
      }}
    >
      <label class="button first">
        Choose files
        <input
          type="file"
          class="unseen"
          multiple
          accept=".csv,.txt,.tsv,.gz,text/csv,text/plain"
          disabled={busy}
          onChange={(event) => {
            onFiles([...(event.currentTarget.files ?? [])])
            event.currentTarget.value = ''
          }}
        />
      </label>
      <span> or drop them here</span>
    </div>
  )
}
