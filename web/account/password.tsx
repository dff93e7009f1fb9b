/** Choosing a password by the code of an invitation or of a forgotten one, which stands behind "#". */
import { useEffect, useState } from 'preact/hooks'
import type { SignInState } from '../../server/http/contract/people.ts'
import { useActing } from '../base/acting.ts'
import { send } from '../base/api.ts'
import { Link } from '../base/router.tsx'
import './account.css'
import { PasswordLine } from './fields.tsx'
import { Form } from './form.tsx'
import { PASSWORD_RULE } from './rules.ts'
import { useSecret } from './secret.ts'
import { verified } from './verified.ts'

export default function PasswordPage({ onSignedIn }: { onSignedIn: (state: SignInState) => void }) {
  const code = useSecret()
  const [password, setPassword] = useState('')
  const acting = useActing(['/password'])
  useEffect(() => {
    document.title = 'Choose a password · Underjoist'
  }, [])
  const choose = () =>
    acting.run(async () => {
      await send('POST', '/api/sign-in/password', { code, password })
      onSignedIn(await verified())
      return ''
    })
  return (
    <div class="door">
      <h1 tabIndex={-1}>Choose a password</h1>
      {code === '' ? (
        <>
          <p>
            The address lacks its code, the part behind “#”. Open the whole address of the letter or the invitation
            anew; it is good once.
          </p>
          <p class="door-link">
            <Link to="/forgot">Get a letter with a new one</Link>
          </p>
        </>
      ) : (
        <>
          <p>With it you sign in from now on. Wherever you were signed in before, you are not any more.</p>
          <Form
            acting={acting}
            submit="Set the password and sign in"
            ready={password !== ''}
            onSend={() => void choose()}
          >
            <PasswordLine
              label="New password"
              hint={PASSWORD_RULE}
              path="/password"
              faults={acting.faults}
              value={password}
              onChange={setPassword}
              autocomplete="new-password"
            />
          </Form>
        </>
      )}
    </div>
  )
}
