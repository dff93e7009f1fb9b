/** Did the work do it: each work with its verdict, how much, how sure, and the air as it was against as it would have been. */
import { useEffect, useRef, useState } from 'preact/hooks'
import type { BalanceContract } from '../../server/http/contract/balance.ts'
import type { EffectSeries, EffectSeriesList } from '../../server/http/contract/effectSeries.ts'
import type { HousePage } from '../../server/http/contract/page.ts'
import { ofHouse } from '../base/api.ts'
import { useLoad } from '../base/load.ts'
import { Awaiting, Chip, IntervalBar, Scrolls, Section, verdictChip } from '../base/parts.tsx'
import { usePerson } from '../base/person.ts'
import { shortDateText } from '../base/time.ts'
import { type Estimate, estimateText, type Quantity, shownAs } from '../base/units.ts'
import { chartTheme } from '../record/theme.ts'
import { drawEffectChart, effectChartConfig, effectPicture } from './chart.ts'
import './effects.css'

type Told = Extract<BalanceContract, { outcome: 'told' }>
type Effect = Told['effects'][number]

const GRADES = {
  A: 'shown',
  B: 'likely',
  C: 'meets the target now, without a usable baseline',
  D: 'not shown yet',
} as const

export function EffectsSection({
  houseKey,
  page,
  balance,
}: {
  houseKey: string
  page: HousePage
  balance: BalanceContract | null
}) {
  return (
    <Section
      id="works"
      title="Did the work do it"
      note="The air with the work less the air without it, in the same weather. A minus is drier."
    >
      {page.works.length === 0 ? (
        <p>
          No work has been entered yet. Enter what was done and when, and it is judged here with the weather taken out.
        </p>
      ) : balance === null ? (
        <p class="quiet">The verdicts come when the balance of the house is made.</p>
      ) : balance.outcome === 'cannot tell' ? (
        <p>
          It cannot be told yet: {balance.reason} It needs {balance.missing.join('; ')}.
        </p>
      ) : (
        <Effects houseKey={houseKey} page={page} balance={balance} />
      )}
    </Section>
  )
}

function Effects({ houseKey, page, balance }: { houseKey: string; page: HousePage; balance: Told }) {
  const [open, setOpen] = useState(() => firstToShow(balance.effects))
  const series = useLoad<EffectSeriesList>(ofHouse(houseKey, '/balance/effects'))
  const { units } = usePerson()
  const shown = shownAs('humidityRatioGKg', units)
  const most = Math.max(
    1,
    ...balance.effects.flatMap(({ soFar }) =>
      soFar ? [-soFar.humidityRatioGKg.low, soFar.humidityRatioGKg.high] : [],
    ),
  )
  const chosen = balance.effects[open]
  return (
    <>
      <Scrolls label="Works and their effects">
        <table class="effects stacks">
          <thead>
            <tr>
              <th scope="col">Work</th>
              <th scope="col">Verdict</th>
              <th scope="col">So far, {shown.unit}</th>
              <th scope="col">Settled, {shown.unit}</th>
              <th scope="col">Grade</th>
            </tr>
          </thead>
          <tbody>
            {balance.effects.map((effect, i) => (
              <tr key={effect.works.join()}>
                <th scope="row">
                  <button type="button" class="plain" aria-pressed={open === i} onClick={() => setOpen(i)}>
                    {workNames(effect, page)}
                  </button>
                </th>
                <td data-head="verdict">
                  <Chip kind={verdictChip(effect.verdict)}>{effect.verdict}</Chip>
                </td>
                <td class="interval-cell" data-head="so far">
                  {effect.soFar ? <Amount estimate={effect.soFar.humidityRatioGKg} most={most} /> : 'not yet'}
                </td>
                <td data-head="settled">
                  {effect.settled ? estimateText(effect.settled.humidityRatioGKg, shown) : 'still drying, or too short'}
                </td>
                <td data-head="grade">
                  <strong>{effect.grade}</strong> <span class="small">{GRADES[effect.grade]}</span>
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </Scrolls>
      {chosen && <OneEffect effect={chosen} page={page} />}
      {series.body === null ? (
        <Awaiting loaded={series} what="the days of this work" again={series.again} />
      ) : (
        chosen && (
          <AsItWas
            page={page}
            effect={chosen}
            series={series.body.effects.find(({ works }) => works.join() === chosen.works.join())}
          />
        )
      )}
      <Departures departures={balance.departures} timeZone={page.house.timeZone} />
      {balance.unseen.length > 0 && <p class="small quiet">{balance.unseen.join(' ')}</p>}
    </>
  )
}

/** Things that nobody entered: ranked by how much better they explain the readings, not asserted. */
function Departures({ departures, timeZone }: { departures: Told['departures']; timeZone: string }) {
  if (departures.length === 0) {
    return <p class="departures">Nothing shows that the house has left its path since.</p>
  }
  return (
    <div class="departures stack">
      <h3>Since then, something nobody entered</h3>
      <ol>
        {departures.map(({ kind, at, size, reason }) => (
          <li key={`${kind} ${at}`}>
            <strong>{kind}</strong>, since about {shortDateText(at, timeZone)}: {size}{' '}
            <span class="quiet">{reason}</span>
          </li>
        ))}
      </ol>
      <p class="small quiet">Ranked by how much better each explains the readings. Look before you act.</p>
    </div>
  )
}

/** The strongest verdict that was reached, else the latest work. */
function firstToShow(effects: readonly Effect[]): number {
  const size = ({ verdict, soFar }: Effect) =>
    verdict === 'cannot tell' || !soFar ? -1 : Math.abs(soFar.humidityRatioGKg.mid)
  const best = effects.reduce((most, effect, i) => (size(effect) > size(effects[most]!) ? i : most), 0)
  return size(effects[best]!) < 0 ? effects.length - 1 : best
}

function workNames({ works }: Effect, page: HousePage): string {
  const names = works.flatMap((key) => {
    const work = page.works.find((one) => one.key === key)
    return work ? [`${work.words}, ${shortDateText(work.at, page.house.timeZone)}`] : []
  })
  return names.join('; ')
}

function Amount({ estimate, most }: { estimate: Estimate; most: number }) {
  const { units } = usePerson()
  const shown = shownAs('humidityRatioGKg', units)
  return (
    <>
      {estimateText(estimate, shown)}
      <IntervalBar estimate={estimate} from={-most} to={most} how={shown} />
    </>
  )
}

const BESIDE: { name: string; key: 'vaporPressurePa' | 'rhPct' | 'tempK' | 'woodMcPct' | 'moldIndex'; as: Quantity }[] =
  [
    { name: 'RH, points', key: 'rhPct', as: 'rhPct' },
    { name: 'temperature', key: 'tempK', as: 'tempK' },
    { name: 'wood, points of moisture', key: 'woodMcPct', as: 'woodMcPct' },
    { name: 'mold index', key: 'moldIndex', as: 'moldIndex' },
  ]

function OneEffect({ effect, page }: { effect: Effect; page: HousePage }) {
  const { units } = usePerson()
  const names = workNames(effect, page)
  return (
    <div class="stack one-effect" aria-live="polite">
      <h3>{names}</h3>
      <p>
        {effect.verdict === 'cannot tell'
          ? `Cannot tell. ${effect.needs.length > 0 ? `It needs ${effect.needs.join(' and ')}.` : 'The interval is too wide for a verdict.'}`
          : `${effect.verdict.charAt(0).toUpperCase()}${effect.verdict.slice(1)}.`}{' '}
        Grade {effect.grade}: {GRADES[effect.grade]}.
        {effect.lacks.length > 0 && ` A better grade lacks ${effect.lacks.join(', ')}.`}
        {effect.works.length > 1 &&
          ' These works stand too close together to be told apart, and are answered for together.'}
      </p>
      {effect.soFar && (
        <dl class="beside small">
          {BESIDE.map(({ name, key, as }) => {
            const shown = shownAs(as, units)
            const unit = key === 'tempK' ? `, ${shown.unit}` : ''
            return (
              <div key={key}>
                <dt>
                  {name}
                  {unit}
                </dt>
                <dd>{estimateText(effect.soFar![key], { ...shown, digits: Math.max(1, shown.digits) })}</dd>
              </div>
            )
          })}
        </dl>
      )}
    </div>
  )
}

function AsItWas({ page, effect, series }: { page: HousePage; effect: Effect; series: EffectSeries | undefined }) {
  const { units } = usePerson()
  const [excluded, setExcluded] = useState(false)
  const canvas = useRef<HTMLCanvasElement>(null)
  const { timeZone } = page.house
  useEffect(() => {
    const element = canvas.current
    if (!element || !series || series.at.length === 0) return
    const shown = shownAs('tempC', units)
    const draw = () =>
      drawEffectChart(
        element,
        effectChartConfig({
          picture: effectPicture(series, effect.at, shown.of),
          timeZone,
          theme: chartTheme(),
          unit: `dew point, ${shown.unit}`,
          step: shown.step,
          width: element.parentElement!.clientWidth,
          showExcluded: excluded,
        }),
      )
    let chart = draw()
    const again = () => {
      chart.destroy()
      chart = draw()
    }
    const scheme = matchMedia('(prefers-color-scheme: dark)')
    scheme.addEventListener('change', again)
    return () => {
      scheme.removeEventListener('change', again)
      chart.destroy()
    }
  }, [series, effect, units, excluded, timeZone])
  if (!series || series.at.length === 0)
    return <p class="quiet">The days of this work are not kept; ask for the balance again.</p>
  return (
    <figure class="sheet effect-sheet">
      <figcaption class="small">
        As it was (line) and as it would have been without the work (dashes, with its 90 % band), daily mean dew point
        in the space.
      </figcaption>
      <div class="effect-canvas">
        <canvas ref={canvas} aria-hidden="true" />
      </div>
      <div class="small">
        <button type="button" class="plain" aria-expanded={excluded} onClick={() => setExcluded(!excluded)}>
          {excluded ? 'Hide the days left out' : `Days left out (${series.excluded.length})`}
        </button>
        {excluded && (
          <ul>
            {series.excluded.map(({ from, to, reason }) => (
              <li key={`${from} ${reason}`}>
                {shortDateText(from, timeZone)}
                {shortDateText(to - 1, timeZone) === shortDateText(from, timeZone)
                  ? ''
                  : ` to ${shortDateText(to - 1, timeZone)}`}
                : {reason}
              </li>
            ))}
          </ul>
        )}
      </div>
    </figure>
  )
}
