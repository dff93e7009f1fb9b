/** Takes a person out of every table. */
import type { Database } from './open.ts'
import { personById } from './people.ts'
import { isLastContractor } from './peopleChange.ts'
import { renameEverywhere } from './peopleHistory.ts'
import { housesOf, takeHouse } from './personHouses.ts'
import { inTransaction, statement } from './unitsOfWork.ts'

/** Stands in histories where a name was; nobody may be called this. */
export const FORMER_PERSON = 'a former person'

/**
 * What they did in houses stays, under nobody's name. Notes and captions that people typed are theirs who typed them and
 * stay as they are; where a survey says by whom it was made, the name goes too.
 */
export async function deletePerson(
  db: Database,
  id: number,
  by: { now: number; who: string },
): Promise<'done' | 'UNKNOWN_PERSON' | 'LAST_CONTRACTOR'> {
  return inTransaction(db, () => {
    const person = personById(db, id)
    if (person === undefined) return 'UNKNOWN_PERSON'
    if (isLastContractor(db, person)) return 'LAST_CONTRACTOR'
    for (const house of housesOf(db, id)) takeHouse(db, person, house.id, by)
    renameEverywhere(db, { from: person.name, to: FORMER_PERSON, since: person.createdAt })
    forgetSurveyor(db, person.name)
    statement(db, 'delete from letters where person_id = ? or lower(to_address) = ?').run(id, person.email)
    statement(db, 'delete from people where id = ?').run(id) // sessions, codes, tokens, links and houses go with it
    return 'done'
  })
}

/** In the surveys themselves and in what the history keeps of them, so that undoing a change still finds its place. */
function forgetSurveyor(db: Database, name: string): void {
  statement(db, 'update surveys set by = ? where by = ?').run(FORMER_PERSON, name)
  const [from, to] = [name, FORMER_PERSON].map((by) => `"by":${JSON.stringify(by)}`)
  statement(
    db,
    `update history set before = replace(before, :from, :to), after = replace(after, :from, :to)
     where instr(before, :from) > 0 or instr(after, :from) > 0`,
  ).run({ from, to })
}
