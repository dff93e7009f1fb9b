/** What is rarer: picked up, swapped, named anew, another secret, out of service. Each asks before it does what lasts. */
import { useState } from 'preact/hooks'
import type { Logger, LoggerChange, LoggersAnswer } from '../../server/http/contract/loggers.ts'
import { useActing } from '../base/acting.ts'
import { send } from '../base/api.ts'
import { Section } from '../base/parts.tsx'
import { Link } from '../base/router.tsx'
import { ChoiceField, DateField, NumberField, TextField } from '../enter/fields.tsx'
import { Act, type ActGiven, addressOf } from './act.tsx'
import { inOrder } from './groups.ts'
import { Secret } from './secret.tsx'
import { fullName } from './words.ts'

export function Service(given: ActGiven) {
  const { logger } = given
  const hangs = logger.probes.some(({ placed }) => placed !== null)
  return (
    <Section id="service" title="Service" class="section no-print">
      <div class="acts">
        {hangs && <PickUp {...given} />}
        {hangs && <Swap {...given} />}
        <Settings {...given} />
        {logger.hasRadio && <Secret {...given} />}
        <Label {...given} />
        <Retire {...given} />
      </div>
    </Section>
  )
}

function PickUp({ logger, onDone }: ActGiven) {
  const acting = useActing(['/at'])
  const [at, setAt] = useState<string | undefined>(undefined)
  const pickUp = () =>
    acting.run(async () => {
      const picked = await send<Logger>('POST', addressOf(logger, '/pick-up'), at === undefined ? {} : { at })
      onDone([picked], 'Picked up: it hangs nowhere.')
      return ''
    })
  return (
    <Act title="Pick it up" acting={acting}>
      <DateField
        label="When"
        withTime
        hint="By the clock of the house. Empty means now."
        path="/at"
        faults={acting.faults}
        value={at}
        onChange={setAt}
      />
      <button type="button" disabled={acting.busy} onClick={() => void pickUp()}>
        Pick it up
      </button>
    </Act>
  )
}

function Swap({ logger, others, onDone }: ActGiven) {
  const acting = useActing(['/with'])
  const [other, setOther] = useState<string | undefined>(undefined)
  const free = inOrder(others.filter(({ key, standing }) => key !== logger.key && standing !== 'retired'))
  const swap = () =>
    acting.run(async () => {
      const { loggers } = await send<LoggersAnswer>('POST', addressOf(logger, '/swap'), { with: other })
      onDone(loggers, 'Swapped: the other one hangs there from now on.')
      return ''
    })
  return (
    <Act title="Swap it for another" acting={acting}>
      <ChoiceField
        label="The other logger"
        hint="It takes over every spot of this one, probe by probe."
        none="choose a logger"
        path="/with"
        faults={acting.faults}
        value={other}
        choices={free.map((one) => ({
          value: one.key,
          label: `${fullName(one)}${one.probes.some(({ placed }) => placed) ? ', hangs elsewhere' : ''}`,
        }))}
        onChange={setOther}
      />
      <button type="button" disabled={acting.busy || other === undefined} onClick={() => void swap()}>
        Swap
      </button>
    </Act>
  )
}

function Settings({ logger, onDone }: ActGiven) {
  const acting = useActing(['/name', '/intervalS', '/hasRadio'])
  const [name, setName] = useState<string | undefined>(logger.name ?? undefined)
  const [intervalS, setIntervalS] = useState<number | undefined>(logger.intervalS ?? undefined)
  const change = () =>
    acting.run(async () => {
      const body: LoggerChange = {
        ...(name !== (logger.name ?? undefined) && { name: name ?? null }),
        ...(intervalS !== undefined && intervalS !== logger.intervalS && { intervalS }),
      }
      onDone([await send<Logger>('PATCH', addressOf(logger), body)])
      return 'Stored.'
    })
  return (
    <Act title="Name and interval" acting={acting}>
      <TextField label="Name" path="/name" faults={acting.faults} value={name} onChange={setName} />
      <NumberField
        label="Interval of its readings, minutes"
        path="/intervalS"
        faults={acting.faults}
        value={intervalS}
        to={(s) => s / 60}
        from={(minutes) => Math.round(minutes * 60)}
        digits={2}
        onChange={setIntervalS}
      />
      <button type="button" disabled={acting.busy} onClick={() => void change()}>
        Store
      </button>
    </Act>
  )
}

function Label({ logger }: ActGiven) {
  return (
    <p class="act-link">
      <Link to={`/loggers/labels?keys=${encodeURIComponent(logger.key)}`}>Print its label</Link>
      <Link to="/checks">Check its sensor</Link>
    </p>
  )
}

function Retire({ logger, onDone }: ActGiven) {
  const acting = useActing(['/why'])
  const [why, setWhy] = useState<string | undefined>(undefined)
  const [sure, setSure] = useState(false)
  const retire = () =>
    acting.run(async () => {
      onDone([await send<Logger>('POST', addressOf(logger, '/retire'), why === undefined ? {} : { why })])
      return 'Retired.'
    })
  return (
    <Act title="Retire it" acting={acting}>
      <p>
        It hangs nowhere from now on and signs in no more. Its readings stay. A retired logger does not come back;
        enroll it anew instead.
      </p>
      <TextField label="Why" path="/why" faults={acting.faults} value={why} onChange={setWhy} />
      {sure ? (
        <div class="row">
          <button type="button" class="first" disabled={acting.busy} onClick={() => void retire()}>
            Yes, retire it
          </button>
          <button type="button" onClick={() => setSure(false)}>
            Keep it
          </button>
        </div>
      ) : (
        <button type="button" onClick={() => setSure(true)}>
          Retire it
        </button>
      )}
    </Act>
  )
}
