/** Another password, by the old one. */
import { useState } from 'preact/hooks'
import { useActing } from '../base/acting.ts'
import { send } from '../base/api.ts'
import { PasswordLine } from './fields.tsx'
import { Form } from './form.tsx'
import { PASSWORD_RULE } from './rules.ts'

export function ChangePassword() {
  const [old, setOld] = useState('')
  const [password, setPassword] = useState('')
  const acting = useActing(['/old', '/password'])
  const change = () =>
    acting.run(async () => {
      await send('POST', '/api/account/password', { old, password })
      setOld('')
      setPassword('')
      return 'The password is changed. You stay signed in here, and nowhere else.'
    })
  return (
    <Form
      acting={acting}
      label="Change the password"
      submit="Change the password"
      ready={old !== '' && password !== ''}
      onSend={() => void change()}
    >
      <PasswordLine
        label="Old password"
        path="/old"
        faults={acting.faults}
        value={old}
        onChange={setOld}
        autocomplete="current-password"
      />
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
  )
}
