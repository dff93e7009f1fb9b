/** A logger in somebody's hand under a house: is it heard, where does it hang, and all that is done with it. */
import { useEffect, useState } from 'preact/hooks'
import type { Logger } from '../../server/http/contract/loggers.ts'
import { useLoad } from '../base/load.ts'
import { Awaiting, InventedStamp, TroubleBox } from '../base/parts.tsx'
import { usePerson } from '../base/person.ts'
import { Link } from '../base/router.tsx'
import '../checks/checks.css'
import '../enter/enter.css'
import { Data } from './data.tsx'
import { UndoHint } from './hangs.tsx'
import { Heard } from './heard.tsx'
import { useHouses } from './houseChoice.tsx'
import { type Live, useLive } from './live.ts'
import './loggers.css'
import { Announced, LiveState } from './parts.tsx'
import { Photo } from './photo.tsx'
import { PlaceSection } from './place.tsx'
import { Service } from './service.tsx'
import { VisitSection } from './visit.tsx'
import { announcement, nameOf } from './words.ts'

/** @param wanted its key, or the code on its label */
export default function LoggerPage({ wanted }: { wanted: string }) {
  const loaded = useLoad<Logger>(`/api/loggers/${encodeURIComponent(wanted)}`)
  const live = useLive()
  const key = loaded.body?.key ?? null
  useEffect(() => {
    if (key !== null && key !== wanted) history.replaceState(null, '', `/loggers/${encodeURIComponent(key)}`)
  }, [key, wanted])
  const logger = live.loggers?.find((one) => one.key === key) ?? loaded.body
  if (logger === null) {
    const unknown = loaded.state === 'failed' && loaded.trouble.code === 'UNKNOWN_LOGGER'
    return (
      <>
        <h1 tabIndex={-1}>{unknown ? `There is no logger ${wanted}` : 'Logger'}</h1>
        {unknown ? (
          <p>
            Compare the code with the label, or <Link to="/loggers">look for it among all loggers</Link>.
          </p>
        ) : (
          <Awaiting loaded={loaded} what="the logger" again={loaded.again} />
        )}
      </>
    )
  }
  return <OneLogger logger={logger} live={live} again={loaded.again} />
}

function OneLogger({ logger, live, again }: { logger: Logger; live: Live; again: () => void }) {
  const houses = useHouses()
  const said = useAnnounced(logger)
  const { house, standing, hasRadio, code } = logger
  const invented = houses?.find(({ key }) => key === house?.key)?.invented ?? false
  const inService = standing !== 'retired'
  const hangs = logger.probes.some(({ placed }) => placed !== null)
  useEffect(() => {
    document.title = `${nameOf(logger)} · Underjoist`
  }, [logger])
  const [done, setDone] = useState<{ said: string; house: Logger['house'] } | null>(null)
  const take = (some: readonly Logger[], text?: string) => {
    live.take(some)
    // The history of the house it was in, or came to.
    if (text !== undefined) setDone({ said: text, house: some.find(({ key }) => key === logger.key)?.house ?? house })
    if (live.by !== 'events') again()
  }
  return (
    <>
      <p class="row small back">
        <Link to="/loggers">Loggers</Link>
        {house !== null && <Link to={`/houses/${house.key}`}>{house.name}</Link>}
        {invented && <InventedStamp />}
      </p>
      <div class="logger-name">
        <h1 tabIndex={-1}>{nameOf(logger)}</h1>
        {code !== null && <span class="code">{code}</span>}
      </div>
      <Announced text={said} />
      <Heard logger={logger} now={live.now} />
      <LiveState live={live} />
      <p role="status">
        {done && (
          <>
            {done.said} <UndoHint house={done.house} />
          </>
        )}
      </p>
      {inService && house !== null && <VisitSection houseKey={house.key} />}
      {inService && houses !== null && (
        <PlaceSection
          key={house?.key}
          logger={logger}
          houses={houses}
          now={live.now}
          onPlaced={(one) => take([one], 'It hangs there now.')}
        />
      )}
      {inService && hangs && house !== null && <Photo logger={logger} houseKey={house.key} />}
      {!hasRadio && <ReadOut logger={logger} />}
      <Data logger={logger} />
      {inService ? (
        <Service logger={logger} others={live.loggers ?? []} onDone={take} />
      ) : (
        <TroubleBox
          trouble={{
            code: '',
            message: 'This logger is retired.',
            hint: 'It hangs nowhere and signs in no more; its readings stay.',
            where: null,
          }}
        />
      )}
    </>
  )
}

/** A logger without radio tells what it has when it is picked up. */
function ReadOut({ logger: { key, house } }: { logger: Logger }) {
  return (
    <section class="section" aria-labelledby="read-out-head">
      <h2 id="read-out-head">Read out at pick-up</h2>
      <p class="after-head">
        It has no radio. Read its file out with the phone or computer it came with, then bring the file in.
      </p>
      {house === null ? (
        <p class="small quiet">Place it first: its readings belong to the spot it hung at.</p>
      ) : (
        <p class="after-head">
          <Link to={`/houses/${house.key}/bring-in?logger=${encodeURIComponent(key)}`} class="button first">
            Bring its file in
          </Link>
        </p>
      )}
    </section>
  )
}

/** When it is heard for the first time, or falls late, the ear is told; values that change are not. */
function useAnnounced(logger: Logger): string {
  const { units } = usePerson()
  const [known, setKnown] = useState({ logger, said: '' })
  if (known.logger !== logger) {
    setKnown({ logger, said: announcement(known.logger, logger, units) ?? known.said })
  }
  return known.said
}
