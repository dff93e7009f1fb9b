/** `GET /api/houses/:id/owner-page?units=`: what the owner of a house reads, and the choice of letters. */
import { type Static, Type } from 'typebox'
import { URGENCIES } from '../../store/schema.ts'
import { LETTER_CLASSES } from '../../watch/letters/kinds.ts'
import { Instant, LevelSchema, NullableText, nullable, Texts } from './shapes.ts'

const Wood = Type.Object(
  { low: Type.Number(), mid: Type.Number(), high: Type.Number() },
  { description: '% of dry mass at the place whose wood is wettest' },
)

export const OwnerNoticeSchema = Type.Object({
  id: Type.Integer(),
  urgency: Type.Enum([...URGENCIES]),
  sinceAt: Instant,
  headline: Type.String(),
  happened: Type.String({ description: 'place and since when, as the letter says it' }),
  steps: Texts,
  cautions: Texts,
  weDo: Type.String({ description: 'what the firm does, and by when' }),
  acknowledgedAt: nullable(Instant),
  acknowledgedBy: NullableText,
})
export type OwnerNoticeAnswer = Static<typeof OwnerNoticeSchema>

export const LetterChoicesSchema = Type.Object({
  person: Type.String(),
  mine: Type.Boolean({ description: 'whether whoever asks may change them' }),
  classes: Type.Array(
    Type.Object({
      letterClass: Type.Enum([...LETTER_CLASSES]),
      words: Type.String(),
      wanted: Type.Boolean(),
    }),
  ),
})
export type LetterChoices = Static<typeof LetterChoicesSchema>

export const OwnerPageSchema = Type.Object({
  house: Type.Object({ key: Type.String(), name: Type.String(), invented: Type.Boolean(), timeZone: Type.String() }),
  asOf: Instant,
  state: Type.Object({
    level: nullable(LevelSchema),
    sentence: Type.String({ description: 'such as "Damp: we are looking"' }),
    more: Texts,
  }),
  lastHeardAt: nullable(Instant),
  notices: Type.Array(OwnerNoticeSchema, { description: 'open ones that are for owners, the most urgent first' }),
  call: Type.Object({ name: Type.String(), phone: NullableText, email: NullableText }),
  weeks: Type.Array(
    Type.Object({
      date: Type.String({ description: 'local date of its first day; weeks are counted from January 1' }),
      level: LevelSchema,
      wood: nullable(Wood),
    }),
  ),
  woodMeasured: Type.Boolean({ description: 'pins read it; else it is estimated from the air' }),
  woodLines: Type.Object({ dampPct: Type.Number(), wetPct: Type.Number() }),
  works: Type.Array(Type.Object({ date: Type.String(), at: Instant, words: Type.String() })),
  letters: Type.Array(Type.Object({ id: Type.Integer(), at: Instant, subject: Type.String(), to: Type.String() })),
  choices: Type.Array(LetterChoicesSchema, { description: 'of the owner who asks; of every owner for the firm' }),
})
export type OwnerPageAnswer = Static<typeof OwnerPageSchema>

export const LetterChoiceBody = Type.Object(
  { letterClass: Type.Enum([...LETTER_CLASSES]), wanted: Type.Boolean() },
  { additionalProperties: false },
)
