/** Tokens for programs: each may do what its person may, narrowed by a scope, until a day. */
import { useState } from 'preact/hooks'
import type { NewTokenAnswer, TokensAnswer } from '../../server/http/contract/people.ts'
import { TOKEN_SCOPES, type TokenScope } from '../../server/http/contract/words.ts'
import { useActing } from '../base/acting.ts'
import { send } from '../base/api.ts'
import { useLoad } from '../base/load.ts'
import { Awaiting, Section, TroubleBox } from '../base/parts.tsx'
import { shortDateText } from '../base/time.ts'
import { ChoiceField } from '../enter/fields.tsx'
import { OWN_ZONE } from '../loggers/words.ts'
import { AskFirst } from './askFirst.tsx'
import { Line } from './fields.tsx'
import { Form } from './form.tsx'
import { HandOver } from './handOver.tsx'

const SCOPE_WORDS: Record<TokenScope, string> = {
  read: 'look, and change nothing',
  readings: 'bring readings in, and nothing else',
  write: 'all that you may, but for accounts',
}
const LASTS = [
  ['30', '30 days'],
  ['90', '90 days'],
  ['365', 'a year'],
] as const

export function Tokens() {
  const loaded = useLoad<TokensAnswer>('/api/account/tokens')
  const acting = useActing()
  const [made, setMade] = useState<{ id: number; name: string; token: string } | null>(null)
  const tokens = loaded.body?.tokens ?? []
  const revoke = (id: number, name: string) =>
    acting.run(async () => {
      await send('DELETE', `/api/account/tokens/${id}`)
      if (made?.id === id) setMade(null)
      loaded.again()
      return `Revoked: ${name}.`
    })
  return (
    <Section
      class="part"
      id="tokens"
      title="Tokens for programs"
      note="A program sends one with each request, as “Authorization: Bearer …”. One for each program, so that each can be revoked by itself."
    >
      {loaded.body === null && <Awaiting loaded={loaded} what="your tokens" again={loaded.again} />}
      {loaded.body !== null && tokens.length === 0 && <p>There is none.</p>}
      <ul class="lines">
        {tokens.map(({ id, name, scope, createdAt, endsAt, usedAt }) => (
          <li key={id} class="line">
            <div>
              <p>
                <strong>{name}</strong>: {SCOPE_WORDS[scope]}
              </p>
              <p class="small quiet">
                Made {shortDateText(createdAt, OWN_ZONE)}, ends {shortDateText(endsAt, OWN_ZONE)},{' '}
                {usedAt === null ? 'never used' : `last used ${shortDateText(usedAt, OWN_ZONE)}`}.
              </p>
            </div>
            <AskFirst
              act="Revoke"
              about={name}
              question={`The program that uses “${name}” stops at once.`}
              yes="Revoke it"
              busy={acting.busy}
              onYes={() => void revoke(id, name)}
            />
          </li>
        ))}
      </ul>
      {acting.trouble && <TroubleBox trouble={acting.trouble} />}
      <p role="status">{acting.said}</p>
      {made !== null && (
        <HandOver title={`The token “${made.name}”`} text={made.token} what={`the token ${made.name}`}>
          It is shown this once: only a fingerprint is kept here. Put it where the program keeps its secrets.
        </HandOver>
      )}
      <AddToken
        onMade={(token) => {
          setMade(token)
          loaded.again()
        }}
      />
    </Section>
  )
}

function AddToken({ onMade }: { onMade: (token: { id: number; name: string; token: string }) => void }) {
  const [name, setName] = useState('')
  const [scope, setScope] = useState<TokenScope>('readings')
  const [days, setDays] = useState<string>('90')
  const acting = useActing(['/name'])
  const add = () =>
    acting.run(async () => {
      const { id, token } = await send<NewTokenAnswer>('POST', '/api/account/tokens', {
        name: name.trim(),
        scope,
        days: Number(days),
      })
      setName('')
      onMade({ id, name: name.trim(), token })
      return ''
    })
  return (
    <Form
      acting={acting}
      label="A new token"
      submit="Make a token"
      ready={name.trim() !== ''}
      onSend={() => void add()}
    >
      <div class="fields">
        <Line
          label="What program it is for"
          path="/name"
          faults={acting.faults}
          value={name}
          onChange={setName}
          autocomplete="off"
        />
        <ChoiceField
          label="It may"
          none={null}
          path="/scope"
          faults={acting.faults}
          value={scope}
          choices={TOKEN_SCOPES.map((value) => ({ value, label: SCOPE_WORDS[value] }))}
          onChange={(chosen) => setScope(chosen ?? 'read')}
        />
        <ChoiceField
          label="It lasts"
          none={null}
          path="/days"
          faults={acting.faults}
          value={days}
          choices={LASTS.map(([value, label]) => ({ value, label }))}
          onChange={(chosen) => setDays(chosen ?? '90')}
        />
      </div>
    </Form>
  )
}
