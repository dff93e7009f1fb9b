/** A house before and after one work, on one basis and one arrow scale, with the water of both in one table. */
import type { HousePage } from '../../server/http/contract/page.ts'
import { Scrolls } from '../base/parts.tsx'
import { dateText } from '../base/time.ts'
import { estimateText, shownAs } from '../base/units.ts'
import { DAY_MS } from '../record/span.ts'
import { amountsOf, type WaterArrow, waterArrows } from './arrows.ts'
import { dayAfter } from './days.ts'
import { type HouseGiven, HouseOnDay, periodsIn, sourcesAt } from './houseOnDay.tsx'

export interface PairGiven extends HouseGiven {
  work: HousePage['works'][number]
  /** End of the record. */
  end: number
}

const BASIS = 'to hold the target'
const GAP_PX = 20
const SIDE_BY_SIDE_PX = 640

export function BeforeAndAfter({ work, end, widthPx, ...given }: PairGiven) {
  const { page, balance, units } = given
  const { timeZone } = page.house
  const days = [work.at - DAY_MS, dayAfter(page.works, work.at, end)]
  const periods = periodsIn(balance)
  const both = days.map((day) => sourcesAt(periods, page, day, BASIS))
  const scaleWith = both.flatMap((sources) => (sources ? amountsOf(sources) : []))
  const half = widthPx >= SIDE_BY_SIDE_PX ? Math.floor((widthPx - GAP_PX) / 2) : widthPx
  const [before, after] = both.map((sources) => (sources ? waterArrows(sources, 1) : []))
  const names = [...before!, ...after!].map(({ name }) => name)
  const head = `${work.words.slice(0, 1).toUpperCase()}${work.words.slice(1)}`
  return (
    <div class="pair-block">
      <h3>{head}: before and after</h3>
      <p class="small quiet">
        {before!.length + after!.length === 0
          ? 'Water paths come when the balance is made.'
          : 'Water a machine would meet to hold the target, each in its own period’s weather, on one arrow scale.'}
      </p>
      <div class="pair" data-stacked={half === widthPx}>
        {days.map((day, i) => (
          <figure key={day}>
            <figcaption class="small">
              <strong>{i === 0 ? 'Before' : 'After'}</strong>, {dateText(day - 1, timeZone)}
            </figcaption>
            <div class="sheet drawing-frame">
              <HouseOnDay
                alongside={names}
                {...given}
                widthPx={Math.min(half, 600)}
                at={day}
                basis={BASIS}
                scaleWith={scaleWith}
                bare
              />
            </div>
          </figure>
        ))}
      </div>
      {before!.length + after!.length > 0 && <Compared before={before!} after={after!} unit={units} />}
    </div>
  )
}

function Compared({
  before,
  after,
  unit,
}: {
  before: readonly WaterArrow[]
  after: readonly WaterArrow[]
  unit: HouseGiven['units']
}) {
  const shown = shownAs('airLPerDay', unit)
  const names = [...before, ...after.filter(({ name }) => !before.some((one) => one.name === name))]
  const text = (arrows: readonly WaterArrow[], name: string) => {
    const arrow = arrows.find((one) => one.name === name)
    return arrow ? estimateText(arrow.lPerDay, shown) : 'too little to draw'
  }
  return (
    <Scrolls label="Water before and after">
      <table class="small pair-table">
        <caption>Before and after, {shown.unit}</caption>
        <thead>
          <tr>
            <th scope="col">Path</th>
            <th scope="col">Before</th>
            <th scope="col">After</th>
          </tr>
        </thead>
        <tbody>
          {names.map(({ name, words }) => (
            <tr key={name}>
              <th scope="row">{words}</th>
              <td>{text(before, name)}</td>
              <td>{text(after, name)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </Scrolls>
  )
}
