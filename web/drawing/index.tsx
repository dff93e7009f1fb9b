/** The section drawing of a house, moved through time by a slider, with its text twin and the pair before and after a work. */
import { useLayoutEffect, useRef, useState } from 'preact/hooks'
import type { BalanceContract } from '../../server/http/contract/balance.ts'
import type { HouseTree } from '../../server/http/contract/house.ts'
import type { HousePage } from '../../server/http/contract/page.ts'
import type { RecordAnswer } from '../../server/http/contract/record.ts'
import type { RecordQuantity, Units } from '../../server/http/contract/words.ts'
import { ofHouse } from '../base/api.ts'
import { useLoad } from '../base/load.ts'
import { Awaiting, Section as PageSection } from '../base/parts.tsx'
import { shortDateText } from '../base/time.ts'
import { DAY_MS } from '../record/span.ts'
import { DateSlider } from './dateSlider.tsx'
import './drawing.css'
import { HouseOnDay } from './houseOnDay.tsx'
import { BeforeAndAfter } from './pair.tsx'

export interface SectionDrawingGiven {
  house: HouseTree
  page: HousePage
  balance: BalanceContract | null
  units: Units
}

/** A bucket a day, within what the service gives at once. */
const rowsFor = (days: number): number => Math.min(2000, Math.max(10, days))

export function SectionDrawing({ house, page, balance, units }: SectionDrawingGiven) {
  const { frame, widthPx } = useRoom()
  const end = page.recordTo ?? page.asOf
  const [at, setAt] = useState(end)
  const [pair, setPair] = useState<string | null>(null)
  const days = page.recordFrom === null ? 0 : Math.max(1, Math.ceil((end - page.recordFrom) / DAY_MS))
  const past = at < end || pair !== null
  const load = (show: RecordQuantity) =>
    useLoad<RecordAnswer>(past ? ofHouse(house.key, `/record?show=${show}&rows=${rowsFor(days)}`) : null)
  const [dewPoint, rh, wood] = [load('dewPointC'), load('rhPct'), load('woodMcPct')]
  const records = { dewPointC: dewPoint.body, rhPct: rh.body, woodMcPct: wood.body }
  const failed = [dewPoint, rh, wood].find(({ state }) => state === 'failed')
  const given = { house, page, balance, units, records }
  const work = page.works.find(({ key }) => key === pair)
  return (
    <PageSection
      id="drawing"
      title="The house in section"
      note="Arrows are water on its way into the air under the house, and out of it, as wide as the amount. Squares are spots with their level."
    >
      <div class="sheet drawing-frame">
        <div ref={frame}>
          {widthPx !== null && <HouseOnDay {...given} widthPx={widthPx} at={at} basis="as it is" />}
        </div>
      </div>
      {failed && <Awaiting loaded={failed} what="the values of past days" again={failed.again} />}
      {page.recordFrom !== null && <DateSlider page={page} from={page.recordFrom} to={end} at={at} onChange={setAt} />}
      {page.works.length > 0 && (
        <label class="row no-print">
          <span>Before and after</span>
          <select value={pair ?? ''} onChange={(event) => setPair(event.currentTarget.value || null)}>
            <option value="">choose a work</option>
            {page.works.map(({ key, words, at: day }) => (
              <option key={key} value={key}>
                {words}, {shortDateText(day, page.house.timeZone)}
              </option>
            ))}
          </select>
        </label>
      )}
      {work && widthPx !== null && <BeforeAndAfter {...given} work={work} end={end} widthPx={widthPx} />}
    </PageSection>
  )
}

/** Paper is narrower than a screen: letters and numbers there, and the tables under it. */
const PAPER_PX = 640

/** How wide the drawing may be; on paper as wide as paper. Measured before it is composed, so that it is composed once. */
function useRoom() {
  const frame = useRef<HTMLDivElement>(null)
  const [screenPx, setScreenPx] = useState<number | null>(null)
  const [print, setPrint] = useState(() => matchMedia('print').matches)
  useLayoutEffect(() => {
    setScreenPx(Math.floor(frame.current!.clientWidth))
    const watcher = new ResizeObserver(([entry]) => {
      if (entry!.contentRect.width > 0) setScreenPx(Math.floor(entry!.contentRect.width))
    })
    watcher.observe(frame.current!)
    const paper = matchMedia('print')
    const turn = () => setPrint(paper.matches)
    paper.addEventListener('change', turn)
    return () => {
      watcher.disconnect()
      paper.removeEventListener('change', turn)
    }
  }, [])
  return { frame, widthPx: print ? PAPER_PX : screenPx }
}
