/** Moves the drawing through the days of the record. A native range: arrow keys go by a day, page keys by a month. */
import type { HousePage } from '../../server/http/contract/page.ts'
import { dateText, shortDateText } from '../base/time.ts'
import { DAY_MS } from '../record/span.ts'
import { monthsOn } from './days.ts'

export interface DateSliderGiven {
  page: HousePage
  from: number
  to: number
  at: number
  onChange: (at: number) => void
}

export function DateSlider({ page, from, to, at, onChange }: DateSliderGiven) {
  const days = Math.max(1, Math.ceil((to - from) / DAY_MS))
  const day = at >= to ? days : Math.min(days, Math.round((at - from) / DAY_MS))
  const { timeZone } = page.house
  const shown = dateText(Math.min(at, to) - 1, timeZone)
  const set = (next: number) => onChange(next >= days ? to : from + Math.max(0, next) * DAY_MS)
  return (
    <div class="slider-row no-print">
      <label>
        <span class="small">
          Day shown: <strong>{shown}</strong>
        </span>
        <input
          type="range"
          min={0}
          max={days}
          step={1}
          value={day}
          aria-valuetext={shown}
          onInput={(event) => set(Number(event.currentTarget.value))}
          onKeyDown={(event) => {
            const months = event.key === 'PageUp' ? 1 : event.key === 'PageDown' ? -1 : 0
            if (months === 0) return
            event.preventDefault()
            set(Math.round((monthsOn(Math.min(at, to), months) - from) / DAY_MS))
          }}
        />
      </label>
      <div class="slider-works" aria-hidden="true">
        {page.works.map((work) => (
          <span
            key={work.key}
            class="slider-work"
            title={`${work.words}, ${work.date}`}
            style={{ left: `${((work.at - from) / (to - from)) * 100}%` }}
          />
        ))}
      </div>
      <div class="slider-ends small quiet" aria-hidden="true">
        <span>{shortDateText(from, timeZone)}</span>
        {page.works.length > 0 && (
          <span class="slider-key">
            <span class="slider-work" /> a work
          </span>
        )}
        <span>{shortDateText(to - 1, timeZone)}</span>
      </div>
    </div>
  )
}
