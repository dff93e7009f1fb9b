/** A forgotten password. The answer is the same whether or not there is such an account. */
import { useEffect, useState } from 'preact/hooks'
import { useActing } from '../base/acting.ts'
import { send } from '../base/api.ts'
import { Link } from '../base/router.tsx'
import './account.css'
import { Line } from './fields.tsx'
import { Form } from './form.tsx'

export default function ForgotPage() {
  const [email, setEmail] = useState('')
  const acting = useActing(['/email'])
  useEffect(() => {
    document.title = 'Forgot the password · Underjoist'
  }, [])
  const ask = () =>
    acting.run(async () => {
      await send('POST', '/api/sign-in/forgot', { email })
      return `If ${email} has an account here, a letter is under way to it. The address in it is good for a while, and once.`
    })
  return (
    <div class="door">
      <h1 tabIndex={-1}>Forgot the password</h1>
      <p>
        You get a letter with an address where you choose a new password. Where this service sends no letters, ask a
        contractor of the firm: under People they can invite you again.
      </p>
      <Form acting={acting} submit="Send the letter" ready={email !== ''} onSend={() => void ask()}>
        <Line
          label="E-mail address"
          type="email"
          path="/email"
          faults={acting.faults}
          value={email}
          onChange={setEmail}
          autocomplete="username"
        />
      </Form>
      <p class="door-link">
        <Link to="/">Back to signing in</Link>
      </p>
    </div>
  )
}
