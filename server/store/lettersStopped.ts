/** Classes of letters that somebody does not want about a house. */
import type { Database } from './open.ts'
import { inTransaction, statement } from './unitsOfWork.ts'

export interface ClassOfHouse {
  personId: number
  houseId: number
  letterClass: string
}

/** @returns whether it was not stopped before */
export async function stopLetters(
  db: Database,
  { personId, houseId, letterClass }: ClassOfHouse,
  at: number,
): Promise<boolean> {
  return inTransaction(
    db,
    () =>
      statement(
        db,
        'insert into letters_stopped (person_id, house_id, letter_class, at) values (?, ?, ?, ?) on conflict do nothing',
      ).run(personId, houseId, letterClass, at).changes > 0,
  )
}

/** @returns whether it was stopped before */
export async function resumeLetters(db: Database, { personId, houseId, letterClass }: ClassOfHouse): Promise<boolean> {
  return inTransaction(
    db,
    () =>
      statement(db, 'delete from letters_stopped where person_id = ? and house_id = ? and letter_class = ?').run(
        personId,
        houseId,
        letterClass,
      ).changes > 0,
  )
}

export async function stoppedClasses(
  db: Database,
  { personId, houseId }: Pick<ClassOfHouse, 'personId' | 'houseId'>,
): Promise<Set<string>> {
  return new Set(
    statement(db, 'select letter_class from letters_stopped where person_id = ? and house_id = ?')
      .pluck()
      .all(personId, houseId) as string[],
  )
}

/** Who and which house, for the page that asks; null when one of them is gone. */
export async function whoseLetters(
  db: Database,
  { personId, houseId }: Pick<ClassOfHouse, 'personId' | 'houseId'>,
): Promise<{ person: string; house: string; houseKey: string } | null> {
  return (statement(
    db,
    `select p.name as person, h.name as house, h.key as houseKey from people p, houses h where p.id = ? and h.id = ?`,
  ).get(personId, houseId) ?? null) as { person: string; house: string; houseKey: string } | null
}
