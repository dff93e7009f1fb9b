/** Who reaches a house, the links that open it to its owner, and its hand-over to a new owner. */
import { useEffect, useState } from 'preact/hooks'
import type { HandedOverAnswer, HousePeopleAnswer, NewLinkAnswer } from '../../server/http/contract/people.ts'
import { ofHouse, send } from '../base/api.ts'
import { useLoad } from '../base/load.ts'
import { Awaiting, Section, TroubleBox } from '../base/parts.tsx'
import { Link } from '../base/router.tsx'
import { shortDateText } from '../base/time.ts'
import '../enter/enter.css'
import { useActing } from '../base/acting.ts'
import { OWN_ZONE } from '../loggers/words.ts'
import './account.css'
import { AskFirst } from './askFirst.tsx'
import { HandOver } from './handOver.tsx'
import { NewOwner } from './newOwner.tsx'

const LINK_DAYS = 365

export interface Handed {
  name: string
  address: string
}

export default function HousePeoplePage({ houseKey }: { houseKey: string }) {
  const loaded = useLoad<HousePeopleAnswer>(ofHouse(houseKey, '/people'))
  const [handed, setHanded] = useState<Handed | null>(null)
  const { body, again } = loaded
  useEffect(() => {
    document.title = 'People of a house · Underjoist'
  }, [])
  if (body === null) {
    return (
      <>
        <h1 tabIndex={-1}>People of this house</h1>
        <Awaiting loaded={loaded} what="the people of this house" again={again} />
      </>
    )
  }
  const owners = body.people.filter(({ role }) => role === 'owner')
  const technicians = body.people.filter(({ role }) => role === 'technician')
  return (
    <>
      <p class="small back">
        <Link to={`/houses/${houseKey}`}>{body.house.name}</Link>
      </p>
      <h1 tabIndex={-1}>People of this house</h1>
      <p>Contractors reach every house. Others are given houses under “People”; owners come by a link, too.</p>
      <Owners
        houseKey={houseKey}
        owners={owners}
        links={body.links}
        handed={handed}
        onHanded={setHanded}
        onChanged={again}
      />
      <Section class="part" id="technicians" title="Technicians">
        {technicians.length === 0 ? (
          <p>
            There is none. <Link to="/people">Give this house to one</Link>
          </p>
        ) : (
          <ul class="lines">
            {technicians.map(({ id, name, email, closed }) => (
              <li key={id} class="line">
                <p>
                  <strong>{name}</strong> <span class="small quiet">{closed ? 'closed' : email}</span>
                </p>
              </li>
            ))}
          </ul>
        )}
      </Section>
      <NewOwner
        hadOwner={owners.length > 0}
        send={(to) => send<HandedOverAnswer>('POST', ofHouse(houseKey, '/owner'), to)}
        onDone={({ person, address }) => {
          setHanded({ name: person.name, address })
          again()
        }}
      />
    </>
  )
}

function Owners({
  houseKey,
  owners,
  links,
  handed,
  onHanded,
  onChanged,
}: {
  houseKey: string
  owners: HousePeopleAnswer['people']
  links: HousePeopleAnswer['links']
  handed: Handed | null
  onHanded: (handed: Handed | null) => void
  onChanged: () => void
}) {
  const acting = useActing()
  const make = (personId: number, name: string) =>
    acting.run(async () => {
      const { address } = await send<NewLinkAnswer>('POST', ofHouse(houseKey, '/links'), { personId, days: LINK_DAYS })
      onHanded({ name, address })
      onChanged()
      return ''
    })
  const takeBack = (id: number, name: string) =>
    acting.run(async () => {
      await send('DELETE', ofHouse(houseKey, `/links/${id}`))
      onHanded(null)
      onChanged()
      return `The link of ${name} opens nothing any more.`
    })
  return (
    <Section
      class="part"
      id="owners"
      title="Owner"
      note="A link opens this house alone, without a password, until it ends or is taken back."
    >
      {owners.length === 0 && <p>No owner is entered yet. Enter one below.</p>}
      <ul class="lines">
        {owners.map(({ id, name, email, closed }) => {
          const own = links.filter((link) => link.personId === id)
          return (
            <li key={id} class="person" aria-label={name}>
              <p>
                <strong>{name}</strong> <span class="small quiet">{email}</span>
              </p>
              {own.length === 0 && <p class="small quiet">No link is open.</p>}
              {own.map((link) => (
                <div key={link.id} class="line small">
                  <p>
                    Link of {shortDateText(link.createdAt, OWN_ZONE)}, ends {shortDateText(link.endsAt, OWN_ZONE)};{' '}
                    {link.usedAt === null ? 'not opened yet' : `last opened ${shortDateText(link.usedAt, OWN_ZONE)}`}.
                  </p>
                  <AskFirst
                    act="Take it back"
                    about={`the link of ${name}, ${shortDateText(link.createdAt, OWN_ZONE)}`}
                    question={`Whoever came by it is out at once. ${name} then needs another.`}
                    yes="Take it back"
                    busy={acting.busy}
                    onYes={() => void takeBack(link.id, name)}
                  />
                </div>
              ))}
              {!closed && (
                <p>
                  <button
                    type="button"
                    disabled={acting.busy}
                    aria-label={`Make a link: ${name}`}
                    onClick={() => void make(id, name)}
                  >
                    Make a link
                  </button>
                </p>
              )}
            </li>
          )
        })}
      </ul>
      {acting.trouble && <TroubleBox trouble={acting.trouble} />}
      <p role="status">{acting.said}</p>
      {handed !== null && (
        <HandOver
          key={handed.address}
          title={`The link of ${handed.name}`}
          text={handed.address}
          what={`the link of ${handed.name}`}
        >
          Good for a year, and for whoever has it: send it to {handed.name} alone. Their letters carry a link, too.
        </HandOver>
      )}
    </Section>
  )
}
