/** In and out with one tap each; and before that, what no logger sees. */
import { useEffect, useState } from 'preact/hooks'
import type { HouseAnswer, HouseTree } from '../../server/http/contract/house.ts'
import type { VisitAnswer } from '../../server/http/contract/loggers.ts'
import { ofHouse, send } from '../base/api.ts'
import { useLoad } from '../base/load.ts'
import { Awaiting, Section, TroubleBox } from '../base/parts.tsx'
import { Link } from '../base/router.tsx'
import { ageWords, momentText } from '../base/time.ts'
import { useTick } from './live.ts'
import './visit.css'
import { useActing } from '../base/acting.ts'

export function VisitSection({ houseKey }: { houseKey: string }) {
  const house = useLoad<HouseAnswer>(ofHouse(houseKey))
  return (
    <Section id="visit" title="Under the house" class="section no-print">
      <div class="stack">
        <EntryCaution safety={house.body?.house.safety} />
        <Visit houseKey={houseKey} timeZone={house.body?.house.timeZone} />
      </div>
    </Section>
  )
}

/** Who decides about a confined space: 29 CFR 1926 subpart AA, from memory. 35 ppm of carbon monoxide: common practice, no source. */
export function EntryCaution({ safety }: { safety: HouseTree['safety'] | undefined }) {
  const stops = [
    ...(safety?.entryHazard === 'yes' ? ['An entry hazard is recorded for this house'] : []),
    ...(safety?.structuralSigns === 'yes' ? ['signs of structural trouble are recorded'] : []),
    ...(safety?.combustionAppliances === 'yes' ? ['a fuel-burning appliance draws air there'] : []),
  ]
  return (
    <div class="caution entry-caution">
      {stops.length > 0 && (
        <p>
          <strong>{sentence(stops)} Ask whoever is responsible before going in.</strong>
        </p>
      )}
      <p class="small">
        Stay out when water stands near live power, when it smells of gas or sewage, when a carbon monoxide alarm reads
        35 ppm or more, when animals are in there, or when anything is cracked, sagging or shifted. A crawl space may be
        a confined space: a competent person decides, and somebody outside knows that you are in.{' '}
        <strong>Humidity loggers see none of this.</strong>
      </p>
    </div>
  )
}

const sentence = (parts: readonly string[]): string => {
  const text = parts.join('; ')
  return `${text[0]!.toUpperCase()}${text.slice(1)}.`
}

export function Visit({ houseKey, timeZone }: { houseKey: string; timeZone: string | undefined }) {
  const path = ofHouse(houseKey, '/visit')
  const loaded = useLoad<VisitAnswer>(path)
  const acting = useActing()
  const [since, setSince] = useState<number | null | undefined>(undefined)
  useEffect(() => {
    if (loaded.body !== null) setSince(loaded.body.insideSince)
  }, [loaded.body])
  useTick(10_000)
  if (since === undefined) return <Awaiting loaded={loaded} what="the visit" again={loaded.again} />

  const step = (to: 'in' | 'out') =>
    void acting.run(async () => {
      const { insideSince } = await send<VisitAnswer>('POST', path, { step: to })
      setSince(insideSince)
      return to === 'in'
        ? 'Readings from now on are left out of every judgment, until you are out.'
        : 'Out. The readings of this visit are left out of every judgment.'
    })
  return (
    <div class="visit stack">
      {since !== null && timeZone !== undefined && (
        <p class="inside">
          <strong>Somebody is under the house</strong> since {momentText(since, timeZone)},{' '}
          {ageWords(Date.now() - since)}.
        </p>
      )}
      <button
        type="button"
        class={since === null ? 'visit-tap' : 'visit-tap first'}
        disabled={acting.busy}
        onClick={() => step(since === null ? 'in' : 'out')}
      >
        {since === null ? 'I am under the house' : 'I am out'}
      </button>
      <p role="status" class="small">
        {acting.said !== '' && (
          <>
            {acting.said} It can be undone under{' '}
            <Link class="tap" to={`/houses/${houseKey}/history`}>
              History
            </Link>
            .
          </>
        )}
      </p>
      {acting.trouble && <TroubleBox trouble={acting.trouble} again={loaded.again} />}
    </div>
  )
}
