/** What is rarer: picked up, swapped, named anew, another secret, out of service. Each asks before it does what lasts. */
import type { ComponentChildren } from 'preact'
import { useState } from 'preact/hooks'
import type { Logger, LoggerChange, LoggersAnswer, SecretAnswer } from '../../server/http/contract/loggers.ts'
import { send } from '../base/api.ts'
import { Section, TroubleBox } from '../base/parts.tsx'
import { Link } from '../base/router.tsx'
import { ChoiceField, DateField, NumberField, TextField } from '../enter/fields.tsx'
import { SignIn } from './enrolled.tsx'
import { inOrder } from './groups.ts'
import { type Acting, useActing } from './parts.tsx'
import { UndoHint } from './place.tsx'
import { fullName } from './words.ts'

interface Given {
  logger: Logger
  others: readonly Logger[]
  onDone: (changed: readonly Logger[]) => void
}

const addressOf = ({ key }: Logger, rest = ''): string => `/api/loggers/${encodeURIComponent(key)}${rest}`

export function Service(given: Given) {
  const { logger } = given
  const hangs = logger.probes.some(({ placed }) => placed !== null)
  return (
    <Section id="service" title="Service">
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

/** Folded until it is wanted; a refusal unfolds it. */
function Act({
  title,
  logger,
  acting,
  undo = false,
  children,
}: {
  title: string
  logger: Logger
  acting: Acting
  undo?: boolean
  children: ComponentChildren
}) {
  return (
    <details class="act unfolds">
      <summary>{title}</summary>
      <div class="stack-14">
        {children}
        {acting.trouble && <TroubleBox trouble={acting.trouble} />}
        <p role="status">
          {acting.said} {undo && acting.said !== '' && <UndoHint house={logger.house} />}
        </p>
      </div>
    </details>
  )
}

function PickUp({ logger, onDone }: Given) {
  const acting = useActing(['/at'])
  const [at, setAt] = useState<string | undefined>(undefined)
  const pickUp = () =>
    acting.run(async () => {
      onDone([await send<Logger>('POST', addressOf(logger, '/pick-up'), at === undefined ? {} : { at })])
      return 'Picked up: it hangs nowhere.'
    })
  return (
    <Act title="Pick it up" logger={logger} acting={acting} undo>
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

function Swap({ logger, others, onDone }: Given) {
  const acting = useActing(['/with', '/at'])
  const [other, setOther] = useState<string | undefined>(undefined)
  const free = inOrder(others.filter(({ key, standing }) => key !== logger.key && standing !== 'retired'))
  const swap = () =>
    acting.run(async () => {
      onDone((await send<LoggersAnswer>('POST', addressOf(logger, '/swap'), { with: other })).loggers)
      return 'Swapped: the other one hangs there from now on.'
    })
  return (
    <Act title="Swap it for another" logger={logger} acting={acting} undo>
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

function Settings({ logger, onDone }: Given) {
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
    <Act title="Name and interval" logger={logger} acting={acting}>
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

function Secret({ logger, onDone }: Given) {
  const acting = useActing()
  const [secret, setSecret] = useState<string | null>(null)
  const renew = () =>
    acting.run(async () => {
      const answer = await send<SecretAnswer>('POST', addressOf(logger, '/secret'))
      setSecret(answer.secret)
      onDone([answer.logger])
      return 'The secret before no longer holds. This one is shown this once: put it into the logger now.'
    })
  const revoke = () =>
    acting.run(async () => {
      setSecret(null)
      onDone([await send<Logger>('DELETE', addressOf(logger, '/secret'))])
      return 'Revoked: it cannot sign in until it gets a new secret.'
    })
  return (
    <Act title="Its secret" logger={logger} acting={acting}>
      <p>
        {logger.hasSecret
          ? 'It signs in with a secret of which only a fingerprint is kept. A new one puts the old one out at once.'
          : 'It has no secret and cannot sign in.'}
      </p>
      <div class="row">
        <button type="button" disabled={acting.busy} onClick={() => void renew()}>
          {logger.hasSecret ? 'Make a new secret' : 'Make a secret'}
        </button>
        {logger.hasSecret && (
          <button type="button" disabled={acting.busy} onClick={() => void revoke()}>
            Revoke it
          </button>
        )}
      </div>
      {secret !== null && <SignIn loggerKey={logger.key} secret={secret} />}
    </Act>
  )
}

function Label({ logger }: Given) {
  return (
    <p class="act-link">
      <Link to={`/loggers/labels?keys=${encodeURIComponent(logger.key)}`}>Print its label</Link>
      <Link to="/checks">Check its sensor</Link>
    </p>
  )
}

function Retire({ logger, onDone }: Given) {
  const acting = useActing(['/why'])
  const [why, setWhy] = useState<string | undefined>(undefined)
  const [sure, setSure] = useState(false)
  const retire = () =>
    acting.run(async () => {
      onDone([await send<Logger>('POST', addressOf(logger, '/retire'), why === undefined ? {} : { why })])
      return 'Retired.'
    })
  return (
    <Act title="Retire it" logger={logger} acting={acting}>
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
