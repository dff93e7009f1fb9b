/**
 * A house as people enter and correct it: the whole tree but its readings, with a version, so that two people cannot
 * overwrite each other unnoticed. `GET` and `PUT /api/houses/:id`, `POST /api/houses`, its history and undo.
 */
import { type Static, Type } from 'typebox'
import type { HouseTree } from '../../store/houseTree.ts'
import { Instant, NullableText } from './shapes.ts'

export type { HouseTree } from '../../store/houseTree.ts'

/** The tree's own schema refuses by path (`/works/2/from`), so the route takes any object and answers all problems at once. */
const AnyTree = Type.Unsafe<HouseTree>({
  type: 'object',
  additionalProperties: true,
  description: 'the tree of house.json, readings left out',
})

export const HouseSchema = Type.Object({
  house: AnyTree,
  version: Type.String({ description: 'send it back with a change' }),
})
export type HouseAnswer = Static<typeof HouseSchema>

export const HouseChangeBody = Type.Object(
  {
    house: AnyTree,
    version: Type.String(),
    /** What was done, in a few words for the history: "added a work". */
    what: Type.String({ minLength: 1, maxLength: 200 }),
  },
  { additionalProperties: false },
)
export type HouseChange = Static<typeof HouseChangeBody>

export const NewHouseBody = Type.Object({ house: AnyTree }, { additionalProperties: false })

/** 422: what is wrong, by field; nothing was changed. */
export const HouseProblemsSchema = Type.Object({
  code: Type.String(),
  message: Type.String(),
  hint: Type.String(),
  where: NullableText,
  problems: Type.Array(
    Type.Object({ path: Type.String({ description: 'JSON pointer into the tree' }), problem: Type.String() }),
  ),
})
export type HouseProblems = Static<typeof HouseProblemsSchema>

export const HistoryEntrySchema = Type.Object({
  id: Type.Integer(),
  at: Instant,
  who: Type.String(),
  what: Type.String(),
  /** One line a change: "works / vents sealed 2026-05-18: added". */
  changes: Type.Array(Type.String()),
  undo: Type.Enum(['possible', 'undone', 'changed since', 'not possible']),
})
export type HistoryEntry = Static<typeof HistoryEntrySchema>
export const HistorySchema = Type.Object({ entries: Type.Array(HistoryEntrySchema) })
export type HistoryAnswer = Static<typeof HistorySchema>
