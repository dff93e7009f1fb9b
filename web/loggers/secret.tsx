/** A new secret, told once, or none at all. */
import { useState } from 'preact/hooks'
import type { Logger, SecretAnswer } from '../../server/http/contract/loggers.ts'
import { useActing } from '../base/acting.ts'
import { send } from '../base/api.ts'
import { Act, type ActGiven, addressOf } from './act.tsx'
import { SignIn, useBroker } from './enrolled.tsx'

export function Secret({ logger, onDone }: ActGiven) {
  const acting = useActing()
  const broker = useBroker()
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
    <Act title="Its secret" acting={acting}>
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
      {secret !== null && <SignIn loggerKey={logger.key} secret={secret} broker={broker} />}
    </Act>
  )
}
