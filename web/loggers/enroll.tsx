/** Loggers come into service: what they are, and then, once, what each needs to sign in. */
import { useEffect, useRef, useState } from 'preact/hooks'
import type { Enroll, EnrolledAnswer } from '../../server/http/contract/loggers.ts'
import { send } from '../base/api.ts'
import { TroubleBox } from '../base/parts.tsx'
import { Link } from '../base/router.tsx'
import '../enter/enter.css'
import { faultsOf } from '../base/faults.ts'
import { Field, NumberField, TextField } from '../enter/fields.tsx'
import { Enrolled } from './enrolled.tsx'
import { HouseChoice, useHouses } from './houseChoice.tsx'
import './loggers.css'
import { useActing } from '../base/acting.ts'
import { ProbeChoice } from './probeChoice.tsx'

const FIELDS = ['/key', '/count', '/name', '/intervalS', '/house', '/probes'] as const
/** Trade: every 15 minutes. */
const INTERVAL_S = 900
const MOST = 48
/** As the service takes it: it is part of a topic. */
const NAME_SENT = /^[a-z0-9][a-z0-9._-]{0,63}$/
const NAME_RULE = 'small letters, digits, dots, hyphens and underscores'
/** Addresses of ours that would hide a logger of that name. */
const HIDDEN = ['new', 'labels']

export default function EnrollPage({ forHouse }: { forHouse: string | null }) {
  const houses = useHouses()
  const acting = useActing(FIELDS)
  const [form, setForm] = useState<Enroll>({
    count: 1,
    probes: ['air'],
    hasRadio: true,
    intervalS: INTERVAL_S,
    ...(forHouse !== null && { house: forHouse }),
  })
  const [more, setMore] = useState('')
  const [enrolled, setEnrolled] = useState<EnrolledAnswer['enrolled'] | null>(null)
  const head = useRef<HTMLHeadingElement>(null)
  useEffect(() => {
    document.title = 'Enroll loggers · Underjoist'
  }, [])
  useEffect(() => {
    if (enrolled) head.current?.focus()
  }, [enrolled])

  const set = (some: Partial<Enroll>) => setForm((present) => ({ ...present, ...some }))
  const probes = [...form.probes, ...more.split(/[\s,]+/).filter((one) => one !== '')]
  const count = form.count ?? 1
  const oddProbe = probes.find((probe) => !NAME_SENT.test(probe))
  const problems = [
    ...(oddProbe === undefined ? [] : [{ path: '/probes', problem: `“${oddProbe}” has more than ${NAME_RULE}.` }]),
    ...(form.key !== undefined && !NAME_SENT.test(form.key)
      ? [{ path: '/key', problem: `“${form.key}” has more than ${NAME_RULE}.` }]
      : []),
    ...(form.key !== undefined && HIDDEN.includes(form.key)
      ? [{ path: '/key', problem: 'This name is an address of the pages. Choose another.' }]
      : []),
  ]

  function enroll(): void {
    void acting.run(async () => {
      const { key, name, ...rest } = form
      const body: Enroll = { ...rest, probes, ...(name && { name }), ...(count === 1 && key && { key }) }
      const answer = await send<EnrolledAnswer>('POST', '/api/loggers', body)
      setEnrolled(answer.enrolled)
      return ''
    })
  }

  if (enrolled !== null) {
    return (
      <>
        <Back />
        <h1 ref={head} tabIndex={-1}>
          {enrolled.length === 1 ? 'One logger is enrolled' : `${enrolled.length} loggers are enrolled`}
        </h1>
        <Enrolled enrolled={enrolled} onMore={() => setEnrolled(null)} />
      </>
    )
  }
  const faults = problems.length > 0 ? faultsOf(problems) : acting.faults
  return (
    <>
      <Back />
      <h1 tabIndex={-1}>Enroll loggers</h1>
      <p class="under-head">
        Each gets a short code for its label. One with radio also gets a secret that it signs in with.
      </p>
      <form
        class="narrow stack-14"
        onSubmit={(event) => {
          event.preventDefault()
          enroll()
        }}
      >
        <NumberField
          label="How many alike"
          hint={`1 to ${MOST}`}
          path="/count"
          faults={faults}
          value={count}
          to={(n) => n}
          from={(n) => Math.min(MOST, Math.max(1, Math.round(n)))}
          digits={0}
          onChange={(n) => set({ count: n ?? 1 })}
        />
        <TextField
          label="Name"
          hint={count > 1 ? 'All get this name; the code tells them apart.' : 'Such as Box 7. It can be changed later.'}
          path="/name"
          faults={faults}
          value={form.name}
          onChange={(name) => set({ name })}
        />
        <fieldset>
          <legend>How its readings come in</legend>
          <label class="pick">
            <input type="radio" name="radio" checked={form.hasRadio} onChange={() => set({ hasRadio: true })} />
            <span>By radio: it reports by itself</span>
          </label>
          <label class="pick">
            <input type="radio" name="radio" checked={!form.hasRadio} onChange={() => set({ hasRadio: false })} />
            <span>Read out: its file is brought in at pick-up</span>
          </label>
        </fieldset>
        <ProbeChoice
          probes={form.probes}
          more={more}
          faults={faults}
          onProbes={(chosen) => set({ probes: chosen })}
          onMore={setMore}
        />
        <NumberField
          label="Interval of its readings, minutes"
          hint="15 is the trade’s usual. After three intervals without a word, at least 15 minutes, it is late."
          path="/intervalS"
          faults={faults}
          value={form.intervalS}
          to={(s) => s / 60}
          from={(minutes) => Math.round(minutes * 60)}
          digits={2}
          onChange={(intervalS) => set({ intervalS: intervalS ?? INTERVAL_S })}
        />
        {houses !== null && houses.length > 0 && (
          <HouseChoice
            houses={houses}
            none="not known yet"
            hint="Where it will hang, so that it is found there before it is placed."
            faults={faults}
            value={form.house}
            onChange={(house) => set({ house })}
          />
        )}
        {count === 1 && (
          <details class="unfolds" open={faults.at('/key') !== undefined}>
            <summary>A key of its own</summary>
            <Field
              label="Key"
              hint="The name it signs in with, for firmware that has one already: small letters, digits, dots, hyphens, underscores. Left empty it is made of the code."
              path="/key"
              faults={faults}
            >
              {(ids) => (
                <input
                  {...ids}
                  type="text"
                  autocapitalize="none"
                  spellcheck={false}
                  value={form.key ?? ''}
                  onInput={(event) => set({ key: event.currentTarget.value || undefined })}
                />
              )}
            </Field>
          </details>
        )}
        {acting.trouble && <TroubleBox trouble={acting.trouble} />}
        <div class="row">
          <button type="submit" class="first" disabled={acting.busy || probes.length === 0 || problems.length > 0}>
            {count === 1 ? 'Enroll the logger' : `Enroll ${count} loggers`}
          </button>
          {probes.length === 0 && <span class="small">Choose at least one probe.</span>}
        </div>
      </form>
    </>
  )
}

const Back = () => (
  <p class="back small">
    <Link to="/loggers">Loggers</Link>
  </p>
)
