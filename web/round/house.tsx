/** One house of the round: how it stands, why, and when it was heard. */
import type { RoundHouse } from '../../server/http/contract/round.ts'
import { LevelMark } from '../base/levelMark.tsx'
import { Chip, InventedStamp } from '../base/parts.tsx'
import { Link } from '../base/router.tsx'
import { ageText } from '../base/time.ts'

const WORDS: Record<RoundHouse['standing'], string> = {
  act: 'Act',
  look: 'Look',
  silent: 'Silent',
  waiting: 'Being worked out',
  fine: 'Fine',
  'no readings': 'No readings yet',
}

/** @param head of its name: deeper inside a group */
/** An invented house is a record of the past, unless its logger reports right now. */
const LIVE_MS = 3_600_000

export function House({ house, asOf, head = 2 }: { house: RoundHouse; asOf: number; head?: 2 | 3 }) {
  const Head = head === 2 ? 'h2' : 'h3'
  return (
    <li class="round-house">
      <div class="round-mark">
        {house.level ? <LevelMark level={house.level} /> : <span class="quiet">{WORDS[house.standing]}</span>}
      </div>
      <div>
        <Head class="round-name">
          <Link to={`/houses/${house.key}`}>{house.name}</Link>{' '}
          {house.urgency !== null && <Chip kind={house.urgency === 'urgent' ? 'firm' : 'open'}>{house.urgency}</Chip>}
        </Head>
        <p class="small quiet">
          {house.place} {house.invented && <InventedStamp />}
        </p>
        <p>
          {(house.level !== null || house.urgency !== null) && <strong>{WORDS[house.standing]}. </strong>}
          {house.line}
        </p>
      </div>
      <p class="small quiet round-heard">
        {house.lastHeardAt === null
          ? 'never heard'
          : house.invented && asOf - house.lastHeardAt > LIVE_MS
            ? 'record of the past'
            : `heard ${ageText(asOf - house.lastHeardAt)}`}
        <br />
        {house.spots.map(({ level, count }) => `${count} ${level}`).join(', ')}
      </p>
    </li>
  )
}
