/** One's own account: where one is signed in, the password, tokens for programs, what is kept about one. */
import { useEffect } from 'preact/hooks'
import { useCaller } from '../base/caller.ts'
import { Section } from '../base/parts.tsx'
import '../enter/enter.css'
import './account.css'
import { ChangePassword } from './changePassword.tsx'
import { ROLE_WORDS } from './roles.ts'
import { Sessions } from './sessions.tsx'
import { Tokens } from './tokens.tsx'

export default function AccountPage() {
  const { caller } = useCaller()
  useEffect(() => {
    document.title = 'Your account · Underjoist'
  }, [])
  if (caller.via !== 'password') {
    return (
      <>
        <h1 tabIndex={-1}>No account</h1>
        <p>You are here without a password, so there is nothing to keep in order.</p>
      </>
    )
  }
  return (
    <>
      <h1 tabIndex={-1}>{caller.name}</h1>
      <p>
        Signed in as {ROLE_WORDS[caller.role]}
        {caller.houses === 'all' ? ', with every house.' : `: ${caller.houses.map(({ name }) => name).join(', ')}.`}
      </p>
      <Sessions />
      <Section class="part" id="password" title="Password" note="All other browsers are signed out by it.">
        <ChangePassword />
      </Section>
      <Tokens />
      <Section class="part" id="kept" title="What is kept about you">
        <p>
          Name, address, sessions, tokens without their secrets, letters, and what the histories of houses say you did.
        </p>
        <p>
          <a class="button" href="/api/account/export" download="underjoist-account.json">
            Save it as a file
          </a>
        </p>
      </Section>
    </>
  )
}
