/** The record: one quantity inside against outdoors over any span, with rain, works, events and what harms. */
import { useEffect, useState } from 'preact/hooks'
import type { HousePage } from '../../server/http/contract/page.ts'
import type { RecordAnswer } from '../../server/http/contract/record.ts'
import { RECORD_QUANTITIES, type RecordQuantity } from '../../server/http/contract/words.ts'
import { ofHouse } from '../base/api.ts'
import { useLoad } from '../base/load.ts'
import { Awaiting, Section } from '../base/parts.tsx'
import { usePerson } from '../base/person.ts'
import { momentText, shortDateText } from '../base/time.ts'
import { plain, shownAs, shownOfRecord } from '../base/units.ts'
import { DeparturesKey, LinesChoice, RecordTable, type ShownValue, WorksKey } from './beside.tsx'
import './record.css'
import { bucketAt, type Departure } from './picture.ts'
import { RecordChart } from './recordChart.tsx'
import { chosenSpan, nameOf, SPAN_CHOICES, type Span, spanAfterKey } from './span.ts'

const NAMES: Record<RecordQuantity, string> = {
  dewPointC: 'dew point',
  vaporPressurePa: 'vapor',
  rhPct: 'RH',
  tempC: 'temperature',
  woodMcPct: 'wood moisture',
  moldIndex: 'mold index',
}
const NOTES: Partial<Record<RecordQuantity, string>> = {
  rhPct: 'Relative humidity follows the temperature: it cannot be compared between seasons. Dew point can.',
  woodMcPct:
    'Dashed lines are estimated from the air, ±2 points; solid ones are read by pins. Wood wetted by liquid is wetter than this.',
  moldIndex:
    'What this record’s air would grow on the framing: from a surface as warm as the air (line) to a colder one. 1 needs a microscope, 3 is seen by eye. An estimate, not an inspection.',
}
/** Fewer buckets than pixels: more would not be seen. */
const PX_PER_BUCKET = 2.5

export interface RecordGiven {
  houseKey: string
  page: HousePage
  /** Of the balance, in order of time; none while there is no balance. */
  departures: readonly Departure[]
  /** Told once: the chart stands, or there is none to draw. */
  onDrawn: () => void
}

export function RecordSection(given: RecordGiven) {
  const { page, onDrawn } = given
  const { recordFrom, recordTo } = page
  const empty = recordFrom === null || recordTo === null
  useEffect(() => {
    if (empty) onDrawn()
  }, [empty, onDrawn])
  if (recordFrom === null || recordTo === null) {
    return (
      <Section id="record" title="The record">
        <p>No readings yet. Bring in a logger’s file, and its values stand here against outdoors and the rain.</p>
      </Section>
    )
  }
  return <Record {...given} record={{ from: recordFrom, to: recordTo }} />
}

function Record({ houseKey, page, departures, record, onDrawn }: RecordGiven & { record: Span }) {
  const { units } = usePerson()
  const [show, setShow] = useState<RecordQuantity>('dewPointC')
  const [span, setSpan] = useState<Span>(record)
  const [hidden, setHidden] = useState<ReadonlySet<string>>(() => livingSpots(page))
  const [main, setMain] = useState<string | null>(worstSpot(page))
  const [cursor, setCursor] = useState<number | null>(null)
  const rows = Math.round(Math.min(600, Math.max(180, innerWidth / PX_PER_BUCKET)))
  const asked = useSettled(span)
  const query = new URLSearchParams({
    show,
    from: `${Math.floor(asked.from)}`,
    to: `${Math.ceil(asked.to)}`,
    rows: `${rows}`,
  })
  const loaded = useLoad<RecordAnswer>(ofHouse(houseKey, `/record?${query}`))
  const answer = loaded.body
  const { timeZone } = page.house
  const shown = shownOfRecord(show, units)

  function key(event: KeyboardEvent): void {
    if (event.ctrlKey || event.metaKey || event.altKey) return
    const next = spanAfterKey(event.key, span, record)
    if (next === null) return
    event.preventDefault()
    setSpan(next)
  }

  return (
    <Section
      id="record"
      title="The record"
      note={NOTES[show] ?? 'Inside against outdoors. Tinted: wetter than outdoors, water that the house itself brings.'}
    >
      <div class="row record-choices">
        <div class="row" role="group" aria-label="What is drawn">
          {RECORD_QUANTITIES.map((quantity) => (
            <button
              key={quantity}
              type="button"
              class="word"
              aria-pressed={show === quantity}
              onClick={() => setShow(quantity)}
            >
              {NAMES[quantity]}
            </button>
          ))}
        </div>
        <div class="row" role="group" aria-label="Span">
          {SPAN_CHOICES.map(({ name }) => (
            <button
              key={name}
              type="button"
              class="word"
              aria-pressed={nameOf(span, record) === name}
              onClick={() => setSpan(chosenSpan(name, span, record))}
            >
              {name}
            </button>
          ))}
        </div>
      </div>
      {answer === null ? (
        <Awaiting loaded={loaded} what="the record" again={loaded.again} />
      ) : (
        <>
          <div
            class="sheet record-sheet"
            tabIndex={0}
            role="application"
            aria-roledescription="chart"
            aria-label={`Chart of ${NAMES[show]}, ${shortDateText(span.from, timeZone)} to ${shortDateText(span.to - 1, timeZone)}`}
            aria-describedby="record-keys record-departures"
            onKeyDown={key}
            data-ready={loaded.state === 'ready' ? show : undefined}
          >
            <RecordChart
              record={answer}
              page={page}
              departures={departures}
              span={span}
              whole={record}
              main={main}
              hidden={hidden}
              shown={shown}
              rain={shownAs('rainMm', units)}
              cursor={cursor}
              onSpan={setSpan}
              onCursor={setCursor}
              onDrawn={onDrawn}
            />
          </div>
          <p class="small record-reading" aria-live="polite">
            {readingAt(answer, cursor, shown, timeZone)}
          </p>
          <p id="record-keys" class="small quiet no-print">
            Drag across the chart, or pinch, to look closer. Keys: arrows move, + and − look closer and wider, Home and
            End go to the ends.
          </p>
          <LinesChoice answer={answer} main={main} hidden={hidden} onMain={setMain} onHidden={setHidden} />
          <WorksKey page={page} timeZone={timeZone} />
          <DeparturesKey departures={departures} timeZone={timeZone} />
          <RecordTable
            answer={answer}
            shown={shown}
            rain={shownAs('rainMm', units)}
            timeZone={timeZone}
            name={NAMES[show]}
          />
        </>
      )}
    </Section>
  )
}

/** Rooms above are there to be looked at, and hidden until somebody asks. */
const livingSpots = ({ spaces }: HousePage): ReadonlySet<string> =>
  new Set(spaces.filter(({ role }) => role === 'living').flatMap(({ spots }) => spots.map(({ spot }) => spot)))

/** The worst spot is the one that is asked about. */
function worstSpot({ spaces, level }: HousePage): string | null {
  const spots = spaces.flatMap((space) => space.spots)
  return (spots.find((spot) => spot.level !== null && spot.level === level) ?? spots[0])?.spot ?? null
}

/** A span that rests: while it is dragged, what is there is stretched, and asked for when the hand stops. */
function useSettled(span: Span): Span {
  const [settled, setSettled] = useState(span)
  useEffect(() => {
    const timer = setTimeout(() => setSettled(span), 120)
    return () => clearTimeout(timer)
  }, [span])
  return settled
}

function readingAt(answer: RecordAnswer, at: number | null, shown: ShownValue, timeZone: string): string {
  if (at === null) return ' '
  const k = bucketAt(answer, at)
  if (k < 0) return ' '
  const values = answer.lines.flatMap(({ letter, name, role, mean }) => {
    const value = mean[k]
    const who = role === 'inside' ? letter : role === 'outdoor' ? 'outdoors' : name
    return value === null || value === undefined ? [] : [`${who} ${plain(value, shown)}`]
  })
  return `${momentText(answer.at[k]!, timeZone)}: ${values.length === 0 ? 'nothing measured' : `${values.join(', ')} ${shown.unit}`}`
}
