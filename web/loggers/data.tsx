/** What the logger tells of itself, and how well its messages arrive. */
import type { Logger } from '../../server/http/contract/loggers.ts'
import { Section } from '../base/parts.tsx'
import { Link } from '../base/router.tsx'
import { momentText } from '../base/time.ts'
import { batteryText, clockText, gapsText, intervalText, signalText, zoneOf } from './words.ts'

export function Data({ logger }: { logger: Logger }) {
  const { hasRadio, batteryV, signalDbm, clockOffS, firmware, intervalS, connected, messages, refused } = logger
  const ofRadio: [string, string][] = [
    ['Signal', signalText(signalDbm)],
    ['Its clock', clockText(clockOffS)],
    ['Gaps', gapsText(logger) ?? 'none known'],
    ['Connected now', connected === null ? 'not told' : connected ? 'yes' : 'no'],
    ['Messages', `${messages.toLocaleString('en-US')} arrived`],
  ]
  const lines: [string, string][] = [
    ['Battery', batteryText(batteryV)],
    ...(hasRadio ? ofRadio : []),
    ['Readings', intervalText(intervalS)],
    ...(firmware === null ? [] : [['Firmware', firmware] as [string, string]]),
    ...(logger.enrolledAt === null
      ? []
      : [['Enrolled', momentText(logger.enrolledAt, zoneOf(logger))] as [string, string]]),
    ['Key', logger.key],
  ]
  return (
    <Section id="itself" title="What it tells of itself">
      <dl class="facts-of-logger">
        {lines.map(([term, text]) => (
          <div key={term} class="fact-of-logger">
            <dt>{term}</dt>
            <dd>{text}</dd>
          </div>
        ))}
      </dl>
      {refused > 0 && (
        <p class="small">
          {refused.toLocaleString('en-US')} refused:{' '}
          <Link class="tap" to="/loggers#refused">
            see why under Refused messages
          </Link>
          .
        </p>
      )}
    </Section>
  )
}
