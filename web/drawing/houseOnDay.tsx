/** The drawing of one day with its words: composed for the width there is, and said again as tables. */
import { useMemo, useState } from 'preact/hooks'
import type { BalanceContract } from '../../server/http/contract/balance.ts'
import type { HouseTree } from '../../server/http/contract/house.ts'
import type { HousePage } from '../../server/http/contract/page.ts'
import type { Units } from '../../server/http/contract/words.ts'
import { dateText, shortDateText } from '../base/time.ts'
import { plain, shownAs } from '../base/units.ts'
import { type Period, periodAt, periodsOf, type Sources } from '../sources/periods.ts'
import { type ArrowName, amountsOf, arrowScale, type WaterArrow, waterArrows } from './arrows.ts'
import { compose, type Drawing } from './compose.ts'
import { sectionFacts } from './facts.ts'
import { type DayRecords, isNow, levelOn, linesOf } from './onDay.ts'
import { Section } from './section.tsx'
import { formFor, sheetFor, spotPlace } from './sheet.ts'
import { Twin } from './twin.tsx'

export interface HouseGiven {
  house: HouseTree
  page: HousePage
  balance: BalanceContract | null
  units: Units
  records: DayRecords
  /** Room for the drawing [CSS px]. */
  widthPx: number
}

export const periodsIn = (balance: BalanceContract | null): Period[] =>
  balance?.outcome === 'told' ? periodsOf(balance.sources) : []

/** Water of the period that holds an instant, on one basis. */
export const sourcesAt = (
  periods: readonly Period[],
  page: HousePage,
  at: number,
  basis: Sources['basis'],
): Sources | undefined =>
  periodAt(periods, Math.min(at, (page.recordTo ?? at) - 1))?.bases.find((one) => one.basis === basis)

export interface OnDayGiven extends HouseGiven {
  at: number
  basis: Sources['basis']
  /** Amounts beside which the arrows stand; their own when left out. */
  scaleWith?: readonly number[]
  /** Arrows of the drawing beside it. */
  alongside?: readonly ArrowName[]
  /** Without tables: another one says it. */
  bare?: boolean
}

export function HouseOnDay(given: OnDayGiven) {
  const { page, balance, units, at, basis, bare = false } = given
  const { house, records, widthPx, scaleWith, alongside } = given
  const told = useMemo(
    () => drawn({ house, page, balance, units, records, widthPx, at, basis, scaleWith, alongside }),
    [
      house,
      page,
      balance,
      units,
      records.dewPointC,
      records.rhPct,
      records.woodMcPct,
      widthPx,
      at,
      basis,
      scaleWith?.join(),
      alongside?.join(),
    ],
  )
  const { drawing, arrows, sources, facts, date, basisWords } = told
  // Open where the drawing has no room for values, until somebody says otherwise; it then stays so while days go by.
  const [opened, setOpened] = useState<boolean | null>(null)
  const open = opened ?? drawing.crowded
  const shown = shownAs('airLPerDay', units)
  const words = ({ lPerDay: { low, mid, high } }: WaterArrow) =>
    `${plain(mid, shown)} ${shown.unit}, 90 % interval ${plain(low, shown)} to ${plain(high, shown)}`
  const title = [
    page.house.name,
    date,
    basisWords,
    'crawl space drawn taller than it is',
    ...(page.house.invented ? ['invented'] : []),
  ]
  const withoutArrows =
    balance === null
      ? 'Water paths come when the balance is made.'
      : balance.outcome === 'cannot tell'
        ? `Water paths cannot be told yet: ${balance.reason}`
        : 'No water path of this period is large enough to draw.'
  return (
    <div class="drawing-sheet" data-form={drawing.sheet.form}>
      <Section
        drawing={drawing}
        label={`Section through ${page.house.name} on ${date}`}
        amountWords={words}
        withoutArrows={withoutArrows}
      />
      {drawing.sheet.form === 'phone' && !bare && <p class="small quiet">{title.join('; ')}.</p>}
      {facts.notRecorded.length > 0 && !bare && (
        <p class="small quiet">Not recorded, so drawn plain: {facts.notRecorded.join(', ')}.</p>
      )}
      {sources?.caution && !bare && <p class="small quiet">{sources.caution}</p>}
      {!bare && (
        <details class="small drawing-words" open={open}>
          <summary
            onClick={(event) => {
              event.preventDefault()
              setOpened(!open)
            }}
          >
            The drawing in words
          </summary>
          <Twin
            waiting={!isNow(page, at) && Object.values(records).includes(null)}
            spots={drawing.spots}
            arrows={arrows}
            shown={shown}
            basis={basisWords.replace(/^water /, '')}
            facts={facts}
            dated={(day) => shortDateText(day, page.house.timeZone)}
          />
        </details>
      )}
    </div>
  )
}

/** Facts, arrows and shapes of one day; nothing here depends on where the pointer is. */
function drawn({
  house,
  page,
  balance,
  units,
  records,
  widthPx,
  at,
  basis,
  scaleWith,
  alongside,
}: Omit<OnDayGiven, 'bare'>) {
  const facts = sectionFacts(house, page.works, at)
  const form = formFor(widthPx)
  const sheet = sheetFor(form, widthPx, facts)
  const shown = shownAs('airLPerDay', units)
  const sources = sourcesAt(periodsIn(balance), page, at, basis)
  const pxPerLiter = arrowScale(scaleWith ?? (sources ? amountsOf(sources) : []), form)
  const arrows = sources ? waterArrows(sources, pxPerLiter) : []
  const { timeZone } = page.house
  const date = dateText(Math.min(at, page.recordTo ?? at) - 1, timeZone)
  const targetRhPct = balance?.outcome === 'told' ? Math.round(balance.targetRhPct) : null
  const basisWords =
    sources === undefined
      ? 'no water paths yet'
      : basis === 'as it is'
        ? 'water as it is'
        : `water to hold ${targetRhPct} % RH`
  const judged = page.spaces
    .filter(({ role }) => role !== 'outdoor' && role !== 'living')
    .flatMap((space) => space.spots)
  const placeOf = new Map<string, HouseTree['spaces'][number]['spots'][number]>(
    house.spaces.flatMap((space) => space.spots.map((spot) => [`${space.key}/${spot.key}`, spot] as const)),
  )
  const beside = (role: string): string[] | null => {
    const spot = page.spaces.find((space) => space.role === role)?.spots[0]
    return spot ? linesOf(spot, at, page, records, units) : null
  }
  const drawing: Drawing = compose({
    sheet,
    facts,
    arrows,
    amount: ({ lPerDay }) => plain(lPerDay.mid, shown),
    spots: judged.map((spot, i) => ({
      spot: spot.spot,
      letter: spot.letter,
      name: spot.name,
      level: levelOn(spot, at, page),
      lines: linesOf(spot, at, page, records, units),
      place: spotPlace(sheet, facts, placeOf.get(spot.spot) ?? {}, { i, of: judged.length }),
    })),
    outdoor: beside('outdoor'),
    living: beside('living'),
    dated: (day) => shortDateText(day, timeZone),
    alongside,
    pxPerLiter: arrows.length === 0 ? null : pxPerLiter,
    unit: shown.unit,
    litersPerUnit: 1 / shown.of(1),
    title: { name: page.house.name, date, basis: basisWords, invented: page.house.invented },
  })
  return { drawing, arrows, sources, facts, date, basisWords }
}
