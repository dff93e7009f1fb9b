/** The section drawing of a house, moved through time by a slider, with its text twin and the pair before and after a work. */
import { useEffect, useRef, useState } from 'preact/hooks'
import type { BalanceContract } from '../../server/http/contract/balance.ts'
import type { HouseTree } from '../../server/http/contract/house.ts'
import type { HousePage } from '../../server/http/contract/page.ts'
import type { RecordAnswer } from '../../server/http/contract/record.ts'
import type { Units } from '../../server/http/contract/words.ts'
import { ofHouse } from '../base/api.ts'
import { useLoad } from '../base/load.ts'
import { Section as PageSection } from '../base/parts.tsx'
import { dateText, shortDateText } from '../base/time.ts'
import { shownAs, withUnit } from '../base/units.ts'
import { DAY_MS } from '../record/span.ts'
import { periodAt, periodsOf, type Sources } from '../sources/periods.ts'
import { amountsOf, arrowScale, waterArrows } from './arrows.ts'
import './drawing.css'
import { sectionFacts } from './facts.ts'
import { levelOn, valueOn } from './onDay.ts'
import { Section } from './section.tsx'
import { type FormName, formFor, sheetFor, spotPlace } from './sheet.ts'
import { Twin } from './twin.tsx'

export interface SectionDrawingGiven {
  house: HouseTree
  page: HousePage
  balance: BalanceContract | null
  units: Units
}

export function SectionDrawing({ house, page, balance, units }: SectionDrawingGiven) {
  const frame = useRef<HTMLDivElement>(null)
  const [form, setForm] = useState<FormName>(() => formFor(innerWidth - (innerWidth > 700 ? 80 : 0)))
  const end = page.recordTo ?? page.asOf
  const [at, setAt] = useState(end)
  const [pair, setPair] = useState<string | null>(null)
  useEffect(() => {
    const watcher = new ResizeObserver(([entry]) => setForm(formFor(entry!.contentRect.width)))
    watcher.observe(frame.current!)
    return () => watcher.disconnect()
  }, [])
  const days = page.recordFrom === null ? 0 : Math.max(1, Math.ceil((end - page.recordFrom) / DAY_MS))
  const query = (show: string) => ofHouse(house.key, `/record?show=${show}&rows=${Math.min(2000, Math.max(10, days))}`)
  const moved = at < end
  const dew = useLoad<RecordAnswer>(moved || pair !== null ? query('dewPointC') : null)
  const wood = useLoad<RecordAnswer>(moved || pair !== null ? query('woodMcPct') : null)
  const given = { house, page, balance, units, form, dew: dew.body, wood: wood.body }
  const work = page.works.find(({ key }) => key === pair)
  return (
    <PageSection
      id="drawing"
      title="The house in section"
      note="Arrows are water on its way into the air under the house, as wide as the amount. Marks are spots with their level."
    >
      <div ref={frame}>
        <OnDay {...given} at={at} basis="as it is" />
      </div>
      {page.recordFrom !== null && <DateSlider page={page} from={page.recordFrom} to={end} at={at} onChange={setAt} />}
      {page.works.length > 0 && (
        <div class="row no-print">
          <label class="row">
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
        </div>
      )}
      {work && (
        <div class="pair">
          {[work.at - DAY_MS, Math.min(end - 1, nextWorkAt(page, work.at, end) - DAY_MS)].map((day, i) => (
            <figure key={day}>
              <figcaption class="small">
                <strong>{i === 0 ? `Before ${work.words}` : `After ${work.words}`}</strong>,{' '}
                {dateText(day, page.house.timeZone)}. Water to hold the target, each in its own period’s weather, one
                arrow scale.
              </figcaption>
              <OnDay
                {...given}
                form={form === 'phone' ? 'phone' : 'middle'}
                at={day}
                basis="to hold the target"
                pairWith={work.at}
              />
            </figure>
          ))}
        </div>
      )}
    </PageSection>
  )
}

/** The next later work, or the end: what stands between belongs to this one. */
const nextWorkAt = (page: HousePage, at: number, end: number): number =>
  Math.min(end, ...page.works.filter((work) => work.at > at + 7 * DAY_MS).map((work) => work.at))

interface OnDayGiven extends SectionDrawingGiven {
  form: FormName
  dew: RecordAnswer | null
  wood: RecordAnswer | null
  at: number
  basis: Sources['basis']
  /** Of a pair: the scale is that of both periods at this work. */
  pairWith?: number
}

function OnDay({ house, page, balance, units, form, dew, wood, at, basis, pairWith }: OnDayGiven) {
  const facts = sectionFacts(house, page.works, at)
  const sheet = sheetFor(form, facts.grade)
  const shown = shownAs('airLPerDay', units)
  const periods = balance?.outcome === 'told' ? periodsOf(balance.sources) : []
  const sourcesAt = (instant: number) => periodAt(periods, instant)?.bases.find((one) => one.basis === basis)
  const sources = sourcesAt(Math.min(at, (page.recordTo ?? at) - 1))
  const scaled = pairWith === undefined ? [sources] : [sourcesAt(pairWith - DAY_MS), sourcesAt(pairWith + DAY_MS)]
  const pxPerLiter = arrowScale(
    scaled.flatMap((one) => (one ? amountsOf(one) : [])),
    form === 'wide' ? undefined : form === 'middle' ? 1.9 : 1.35,
  )
  const arrows = sources ? waterArrows(sources, pxPerLiter) : []
  const now = page.recordTo === null || at >= page.recordTo - 1
  const linesOf = (spot: HousePage['spaces'][number]['spots'][number]): string[] => {
    const dewPointC = now ? (spot.last?.dewPointC ?? null) : valueOn(dew, spot.spot, at)
    const measuredWood = now ? (spot.last?.woodMcPct ?? null) : pinsOn(wood, spot.spot, at)
    return [
      ...(measuredWood === null
        ? []
        : [`${withUnit(measuredWood, 'woodMcPct', units).replace(' % moisture', ' % wood')}`]),
      ...(dewPointC === null ? [] : [`dew point ${withUnit(dewPointC, 'tempC', units)}`]),
      ...(now && spot.last?.rhPct != null && measuredWood === null ? [withUnit(spot.last.rhPct, 'rhPct', units)] : []),
    ]
  }
  const judged = page.spaces
    .filter(({ role }) => role !== 'outdoor' && role !== 'living')
    .flatMap((space) => space.spots)
  const placeOf = new Map<string, HouseTree['spaces'][number]['spots'][number]>(
    house.spaces.flatMap((space) => space.spots.map((spot) => [`${space.key}/${spot.key}`, spot] as const)),
  )
  const spots = judged.map((spot, i) => ({
    spot: spot.spot,
    letter: spot.letter,
    name: spot.name,
    level: levelOn(spot, at, page),
    lines: linesOf(spot),
    place: spotPlace(sheet, facts, placeOf.get(spot.spot) ?? {}, { i, of: judged.length }),
  }))
  const beside = (role: string) => {
    const spot = page.spaces.find((space) => space.role === role)?.spots[0]
    return spot ? { lines: linesOf(spot) } : null
  }
  const date = dateText(Math.min(at, page.recordTo ?? at) - 1, page.house.timeZone)
  const title = [
    page.house.name,
    `${date}; ${arrows.length === 0 ? 'water paths come with the balance' : `water ${basis}`}`,
    `crawl space drawn taller than it is${page.house.invented ? '; invented' : ''}`,
  ]
  return (
    <div class="sheet drawing-sheet" data-form={form}>
      <Section
        sheet={sheet}
        facts={facts}
        arrows={arrows}
        pxPerLiter={pxPerLiter}
        spots={spots}
        outdoor={beside('outdoor')}
        living={beside('living')}
        shown={shown}
        title={title}
        label={`Section through ${page.house.name} on ${date}`}
      />
      {form === 'phone' && (
        <p class="small quiet">
          {title[0]}, {title[1]}; {title[2]}.
        </p>
      )}
      {facts.notRecorded.length > 0 && (
        <p class="small quiet">Not recorded, so drawn as usual: {facts.notRecorded.join(', ')}.</p>
      )}
      <details class="small" open={form === 'phone'}>
        <summary>The drawing in words</summary>
        <Twin spots={spots} arrows={arrows} shown={shown} basis={basis} />
      </details>
    </div>
  )
}

/** Only what pins read; an estimate has no place on the drawing. */
function pinsOn(wood: RecordAnswer | null, spot: string, at: number): number | null {
  const line = wood?.lines.find((one) => one.spot === spot)
  return line?.basis === 'measured' ? valueOn(wood, spot, at) : null
}

function DateSlider({
  page,
  from,
  to,
  at,
  onChange,
}: {
  page: HousePage
  from: number
  to: number
  at: number
  onChange: (at: number) => void
}) {
  const days = Math.ceil((to - from) / DAY_MS)
  const day = Math.min(days, Math.round((at - from) / DAY_MS))
  const { timeZone } = page.house
  const set = (next: number) => onChange(next >= days ? to : from + Math.max(0, next) * DAY_MS)
  return (
    <div class="slider-row">
      <label>
        <span class="small">
          Day shown: <strong>{dateText(Math.min(at, to) - 1, timeZone)}</strong>
        </span>
        <input
          type="range"
          min={0}
          max={days}
          step={1}
          value={day}
          aria-valuetext={dateText(Math.min(at, to) - 1, timeZone)}
          onInput={(event) => set(Number(event.currentTarget.value))}
          onKeyDown={(event) => {
            const step = event.key === 'PageUp' ? 30 : event.key === 'PageDown' ? -30 : 0
            if (step === 0) return
            event.preventDefault()
            set(day + step)
          }}
        />
      </label>
      <div class="slider-works" aria-hidden="true">
        {page.works.map((work) => (
          <span key={work.key} style={{ left: `${((work.at - from) / (to - from)) * 100}%` }}>
            ◆
          </span>
        ))}
      </div>
    </div>
  )
}
