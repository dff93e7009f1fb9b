/** Beginning a check, step by step: what, with which salt, which probes, and the box is closed. */
import { useState } from 'preact/hooks'
import type { CheckAnswer, ChecksAnswer } from '../../server/http/contract/checks.ts'
import type { ErrorAnswer } from '../../server/http/contract/error.ts'
import { send, Trouble } from '../base/api.ts'
import { noFaults } from '../base/faults.ts'
import { InventedStamp, Section, TroubleBox } from '../base/parts.tsx'
import { goTo } from '../base/router.tsx'
import { ChoiceField } from '../enter/fields.tsx'
import { byHouse, preparation, type Salt, whereabouts } from './words.ts'

const KINDS = [
  { kind: 'side by side', label: 'Side by side', note: 'Two or more loggers in one box for a night. No salt needed.' },
  { kind: 'salt', label: 'Over a salt', note: 'One or more in a closed box over a wet salt for 12 to 24 hours.' },
] as const
type Kind = (typeof KINDS)[number]['kind']

export function Begin({ listed }: { listed: ChecksAnswer }) {
  const [kind, setKind] = useState<Kind>('side by side')
  const [saltKey, setSaltKey] = useState('NaCl')
  const [chosen, setChosen] = useState<readonly string[]>([])
  const [trouble, setTrouble] = useState<ErrorAnswer | null>(null)
  const [sending, setSending] = useState(false)
  const salt = listed.salts.find(({ key }) => key === saltKey)!
  const least = kind === 'salt' ? 1 : 2

  async function begin() {
    setSending(true)
    try {
      const asked = kind === 'salt' ? { kind, probes: chosen, salt: saltKey } : { kind, probes: chosen }
      const check = await send<CheckAnswer>('POST', '/api/checks', asked)
      goTo(`/checks/${check.id}`)
    } catch (error) {
      if (!(error instanceof Trouble)) throw error
      setTrouble(error.answer)
      setSending(false)
    }
  }

  return (
    <Section id="begin" title="Begin a check">
      <form
        class="begin"
        onSubmit={(event) => {
          event.preventDefault()
          void begin()
        }}
      >
        <fieldset>
          <legend>1. Which check</legend>
          {KINDS.map((one) => (
            <label key={one.kind} class="pick">
              <input type="radio" name="kind" checked={kind === one.kind} onChange={() => setKind(one.kind)} />
              <span>
                <strong>{one.label}</strong>
                <span class="small quiet">{one.note}</span>
              </span>
            </label>
          ))}
        </fieldset>
        {kind === 'salt' && <SaltChoice salts={listed.salts} salt={salt} onChange={setSaltKey} />}
        <fieldset>
          <legend>{kind === 'salt' ? '3' : '2'}. Which probes</legend>
          {byHouse(listed).map((group) => (
            <div key={group.name} class="group">
              <div class="row">
                <h3>{group.name}</h3>
                {group.invented && <InventedStamp />}
              </div>
              {group.probes.map((probe) => (
                <label key={probe.path} class="pick">
                  <input
                    type="checkbox"
                    disabled={probe.inCheck !== null}
                    checked={chosen.includes(probe.path)}
                    onChange={(event) =>
                      setChosen(
                        event.currentTarget.checked
                          ? [...chosen, probe.path]
                          : chosen.filter((path) => path !== probe.path),
                      )
                    }
                  />
                  <span>
                    <strong>{probe.name}</strong>
                    <span class="small quiet">
                      {whereabouts(probe)}
                      {!probe.hasRadio && '; read out by hand'}
                    </span>
                  </span>
                </label>
              ))}
            </div>
          ))}
          {listed.probes.length === 0 && <p class="quiet">No logger is known yet. Enroll or enter one first.</p>}
        </fieldset>
        <fieldset>
          <legend>{kind === 'salt' ? '4' : '3'}. Set it up</legend>
          <ol class="steps">
            {preparation(kind).map((step) => (
              <li key={step} class="step">
                {step}
              </li>
            ))}
          </ol>
        </fieldset>
        <p class="small quiet">
          From now until the check ends these probes hang nowhere: what they read in the box is not the air of a house.
        </p>
        {trouble && <TroubleBox trouble={trouble} />}
        <button type="submit" class="first" disabled={sending || chosen.length < least}>
          {sending ? 'Beginning' : 'The box is closed: begin'}
        </button>
        {chosen.length < least && <p class="small quiet">Choose {least === 1 ? 'a probe' : 'two probes or more'}.</p>}
      </form>
    </Section>
  )
}

function SaltChoice({
  salts,
  salt,
  onChange,
}: {
  salts: readonly Salt[]
  salt: Salt
  onChange: (key: string) => void
}) {
  return (
    <fieldset>
      <legend>2. Which salt</legend>
      <ChoiceField
        label="Salt, and the RH over it at 20 °C (68 °F)"
        none={null}
        path="/salt"
        faults={noFaults}
        value={salt.key}
        choices={salts.map(({ key, name, rhPct }) => ({ value: key, label: `${name}, ${rhPct.toFixed(1)} %` }))}
        onChange={(key) => onChange(key ?? salt.key)}
      />
      <p class="caution small">
        <strong>Caution.</strong> {salt.caution} Wear gloves and eye protection, keep it from food, children and pets,
        wash your hands, and follow the label of the salt.
      </p>
      <p class="small quiet">
        Sodium chloride is nearest to a damp crawl space. A second check over another salt within a month tells whether
        one correction serves the whole range.
      </p>
    </fieldset>
  )
}
