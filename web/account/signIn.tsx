/** Signing in: at first, or over what is at hand when a session ended meanwhile. */
import { useEffect, useRef, useState } from 'preact/hooks'
import type { SignInState } from '../../server/http/contract/people.ts'
import { useActing } from '../base/acting.ts'
import { send } from '../base/api.ts'
import { Link } from '../base/router.tsx'
import './account.css'
import { Line, PasswordLine } from './fields.tsx'
import { Form } from './form.tsx'
import { verified } from './verified.ts'

export default function SignInPage({
  over,
  onSignedIn,
}: {
  /** Whose session ended while at work; null at first. */
  over: string | null
  onSignedIn: (state: SignInState) => void
}) {
  const [email, setEmail] = useState('')
  const [password, setPassword] = useState('')
  const acting = useActing()
  const head = useRef<HTMLHeadingElement>(null)
  useEffect(() => {
    document.title = 'Sign in · Underjoist'
    head.current?.focus()
  }, [])
  const signIn = () =>
    acting.run(async () => {
      await send<SignInState>('POST', '/api/sign-in', { email, password })
      onSignedIn(await verified())
      return ''
    })
  return (
    <div class="door">
      <h1 ref={head} tabIndex={-1}>
        {over === null ? 'Sign in' : 'Sign in again'}
      </h1>
      {over !== null && (
        <p>
          The session of {over} has ended. What you were at is kept: sign in and it goes on. Somebody else who signs in
          here begins anew.
        </p>
      )}
      <Form acting={acting} submit="Sign in" ready={email !== '' && password !== ''} onSend={() => void signIn()}>
        <Line
          label="E-mail address"
          type="email"
          path="/email"
          faults={acting.faults}
          value={email}
          onChange={setEmail}
          autocomplete="username"
        />
        <PasswordLine
          label="Password"
          path="/password"
          faults={acting.faults}
          value={password}
          onChange={setPassword}
          autocomplete="current-password"
        />
      </Form>
      {over === null && (
        <>
          <p class="door-link">
            <Link to="/forgot">Forgot the password</Link>
          </p>
          <p class="small quiet">
            Owner of a house: open the link that your contractor gave you. It needs no password.
          </p>
        </>
      )}
    </div>
  )
}
