/** The first run: whoever has the code that the service printed opens the firm's first account. */
import { useEffect, useState } from 'preact/hooks'
import type { SignInState } from '../../server/http/contract/people.ts'
import { useActing } from '../base/acting.ts'
import { send } from '../base/api.ts'
import './account.css'
import { Line, PasswordLine } from './fields.tsx'
import { Form } from './form.tsx'
import { PASSWORD_RULE } from './rules.ts'
import { verified } from './verified.ts'

const NOTHING = { code: '', firm: '', name: '', email: '', password: '' }
const FIELDS = Object.keys(NOTHING).map((name) => `/${name}`)

export default function FirstPage({ onSignedIn }: { onSignedIn: (state: SignInState) => void }) {
  const [asked, setAsked] = useState(NOTHING)
  const acting = useActing(FIELDS)
  useEffect(() => {
    document.title = 'First account · Underjoist'
  }, [])
  const field = (name: keyof typeof NOTHING) => ({
    path: `/${name}`,
    faults: acting.faults,
    value: asked[name],
    onChange: (value: string) => setAsked((present) => ({ ...present, [name]: value })),
  })
  const begin = () =>
    acting.run(async () => {
      await send('POST', '/api/sign-in/first', { ...asked, code: asked.code.trim() })
      onSignedIn(await verified())
      return ''
    })
  return (
    <div class="door">
      <h1 tabIndex={-1}>Open the first account</h1>
      <p>
        Nobody has an account here yet. The service printed a code when it started, into its log or onto its screen; it
        is good once. Whoever has it becomes the contractor, who lets in everybody else.
      </p>
      <Form
        acting={acting}
        submit="Open the account"
        ready={Object.values(asked).every((text) => text.trim() !== '')}
        onSend={() => void begin()}
      >
        <Line label="Code of the first run" autocomplete="one-time-code" {...field('code')} />
        <Line label="Name of the firm" autocomplete="organization" {...field('firm')} />
        <Line label="Your name" autocomplete="name" {...field('name')} />
        <Line label="Your e-mail address" type="email" autocomplete="username" {...field('email')} />
        <PasswordLine label="Password" hint={PASSWORD_RULE} autocomplete="new-password" {...field('password')} />
      </Form>
      <p class="small quiet">
        The same is done at the command line of the machine by <code>underjoist person add</code>.
      </p>
    </div>
  )
}
