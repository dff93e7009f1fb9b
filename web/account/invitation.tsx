/** The address where a person who was let in chooses a password. */
import { HandOver } from './handOver.tsx'

export function Invitation({ name, address }: { name: string; address: string }) {
  return (
    <HandOver title={`${name} is invited`} text={address} what={`the invitation of ${name}`}>
      There they choose a password. It is good once, for a few days, and for whoever has it: hand it over to {name}{' '}
      alone. Where this service sends letters, one with it is under way.
    </HandOver>
  )
}
