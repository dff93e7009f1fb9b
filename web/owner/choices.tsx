/** Which letters an owner wants. Alarms are a class of their own, and are stopped only after a plain question. */
import { useEffect, useRef, useState } from 'preact/hooks'
import type { LetterChoices, OwnerPageAnswer } from '../../server/http/contract/ownerPage.ts'
import { ofHouse, send, Trouble } from '../base/api.ts'
import { Section } from '../base/parts.tsx'

type Class = LetterChoices['classes'][number]

export function Choices({ page: { choices, house }, again }: { page: OwnerPageAnswer; again: () => void }) {
  return (
    <Section id="choices" title="Which letters">
      {choices.length === 0 && <p>Nobody is the owner of this house yet.</p>}
      {choices.map((choice) =>
        choice.mine ? (
          <OwnChoices key={choice.person} choice={choice} houseKey={house.key} again={again} />
        ) : (
          <p key={choice.person}>
            {choice.person} {inWords(choice.classes)}
          </p>
        ),
      )}
    </Section>
  )
}

function inWords(classes: readonly Class[]): string {
  const stopped = classes.filter(({ wanted }) => !wanted).map(({ words }) => words)
  return stopped.length === 0 ? 'gets all letters.' : `has stopped: ${stopped.join('; ')}.`
}

function OwnChoices({
  choice: { classes },
  houseKey,
  again,
}: {
  choice: LetterChoices
  houseKey: string
  again: () => void
}) {
  const [asking, setAsking] = useState(false)
  const [said, setSaid] = useState('')
  async function choose({ letterClass, words }: Class, wanted: boolean): Promise<void> {
    setAsking(false)
    try {
      await send('PUT', ofHouse(houseKey, '/letter-choice'), { letterClass, wanted })
      setSaid(wanted ? `You get ${words}.` : `Stopped: ${words}.`)
    } catch (error) {
      if (!(error instanceof Trouble)) throw error
      setSaid(`${error.answer.message} ${error.answer.hint}`)
    }
    again()
  }
  return (
    <div>
      <p class="quiet small">Stopping one of them leaves the others as they are.</p>
      {classes.map((one) => (
        <div key={one.letterClass}>
          <label class="owner-choice">
            <input
              type="checkbox"
              checked={one.wanted}
              onClick={(event) => {
                // What is shown follows what the service says.
                event.preventDefault()
                if (one.letterClass === 'alarms' && one.wanted) setAsking(true)
                else void choose(one, !one.wanted)
              }}
            />
            <span>{upper(one.words)}</span>
          </label>
          {one.letterClass === 'alarms' && asking && (
            <AskFirst onStop={() => void choose(one, false)} onKeep={() => setAsking(false)} />
          )}
        </div>
      ))}
      <p role="status" class="small">
        {said}
      </p>
    </div>
  )
}

function AskFirst({ onStop, onKeep }: { onStop: () => void; onKeep: () => void }) {
  const keep = useRef<HTMLButtonElement>(null)
  useEffect(() => keep.current?.focus(), [])
  return (
    <div class="owner-ask" role="alertdialog" aria-labelledby="ask-head" aria-describedby="ask-words">
      <h3 id="ask-head">Stop the alarms about water, freezing and power?</h3>
      <p id="ask-words">
        Nobody will write to you when there is water under the house, when it freezes there, or when the power is off.
        Your contractor is told that you stopped them.
      </p>
      <div class="row">
        <button type="button" class="first" ref={keep} onClick={onKeep}>
          Keep the alarms
        </button>
        <button type="button" onClick={onStop}>
          Stop the alarms
        </button>
      </div>
    </div>
  )
}

const upper = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1)
