/** Checks of probes: begin one, watch it, store what it found; and where the next logger goes. */
import type { ChecksAnswer } from '../../server/http/contract/checks.ts'
import { useLoad } from '../base/load.ts'
import { Awaiting, Section } from '../base/parts.tsx'
import { Link } from '../base/router.tsx'
import { momentText } from '../base/time.ts'
import '../enter/enter.css'
import { Begin } from './begin.tsx'
import './checks.css'
import { Coach } from './coach.tsx'
import { OneCheck } from './oneCheck.tsx'

export default function ChecksPage({ check }: { check: number | null }) {
  return check === null ? <Checks /> : <OneCheck id={check} />
}

const ZONE = Intl.DateTimeFormat().resolvedOptions().timeZone

function Checks() {
  const loaded = useLoad<ChecksAnswer>('/api/checks')
  return (
    <>
      <h1 tabIndex={-1}>Checks</h1>
      <p>
        Loggers are only as good as their sensors. Laid side by side for a night they show which one is off; over a wet
        salt they show it by themselves. Either way the offset is stored as a correction and can be undone.
      </p>
      {loaded.body === null ? (
        <Awaiting loaded={loaded} what="the checks" again={loaded.again} />
      ) : (
        <>
          <Listed id="running" title="Now in the box" state="running" listed={loaded.body} />
          <Begin listed={loaded.body} />
          <Coach houses={loaded.body.houses} />
          <Listed id="earlier" title="Earlier checks" state="ended" listed={loaded.body} />
        </>
      )}
    </>
  )
}

function Listed({
  id,
  title,
  state,
  listed,
}: {
  id: string
  title: string
  state: 'running' | 'ended'
  listed: ChecksAnswer
}) {
  const checks = listed.checks.filter((check) => (check.state === 'running') === (state === 'running'))
  if (checks.length === 0) return null
  const nameOf = (path: string) => listed.probes.find((probe) => probe.path === path)?.name ?? path
  return (
    <Section id={id} title={title}>
      <ul class="check-list">
        {checks.map((check) => (
          <li key={check.id}>
            <Link to={`/checks/${check.id}`}>
              {check.kind === 'salt' ? `Over ${saltName(listed, check.salt)}` : 'Side by side'},{' '}
              {momentText(check.startedAt, ZONE)}
            </Link>
            <span class="whom small quiet">
              {check.probes.map(nameOf).join('; ')}
              {check.state === 'given up' && '. Given up.'}
            </span>
          </li>
        ))}
      </ul>
    </Section>
  )
}

const saltName = ({ salts }: ChecksAnswer, key: string | null) =>
  salts.find((salt) => salt.key === key)?.name ?? key ?? ''
