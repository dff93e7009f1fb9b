/** The page of an owner, and which letters they want. The firm sees what they see; only they choose. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Type } from 'typebox'
import type { Caller } from '../people/types.ts'
import type { Firm } from '../store/firm.ts'
import type { Reader } from '../store/letterReaders.ts'
import type { OwnerLetter } from '../store/ownerLetters.ts'
import type { OwnerView } from '../study/view/ownerPage.ts'
import type { OpenNotice } from '../study/view/ownerState.ts'
import type { Units } from '../study/wording.ts'
import { CLASS_WORDS, LETTER_CLASSES, type LetterClass } from '../watch/letters/kinds.ts'
import type { OwnerNotice, OwnerNoticesAsked } from '../watch/ownerNotices.ts'
import { type Access, AT_HOUSE } from './access.ts'
import { callerOf } from './caller.ts'
import { ERRORS } from './contract/error.ts'
import { HouseKeyParams } from './contract/findings.ts'
import { LetterChoiceBody, type LetterChoices, LetterChoicesSchema, OwnerPageSchema } from './contract/ownerPage.ts'
import { UnitsQuery } from './contract/shapes.ts'
import { unknownHouse } from './unknownHouse.ts'

export interface OwnerPageDeps {
  ownerPage: {
    house(key: string): Promise<{ id: number; timeZone: string } | undefined>
    firm(): Promise<Firm>
    notices(asked: OwnerNoticesAsked): Promise<OwnerNotice[]>
    /** @returns undefined: no such house; 'being made': nothing was found yet */
    view(houseKey: string, notices: readonly OpenNotice[]): Promise<OwnerView | 'being made' | undefined>
    /** Who is written to about the house as its owner, with what they stopped. */
    owners(houseId: number): Promise<Reader[]>
    /** To one owner, or to all. */
    letters(houseId: number, personId: number | null): Promise<OwnerLetter[]>
    /** Whoever runs the firm is told when somebody stops alarms. */
    choose(of: { personId: number; houseId: number; letterClass: LetterClass; wanted: boolean }): Promise<void>
  }
}

/** Ask again in a moment. */
const BeingMade = Type.Object({ state: Type.Literal('being made') })
/** Nobody chooses for somebody else. */
const OWNER_AT_HOUSE: Access = { ...AT_HOUSE, who: ['owner'], inPerson: true }

export const ownerPageRoutes =
  ({ ownerPage }: OwnerPageDeps): FastifyPluginAsyncTypebox =>
  async (app) => {
    async function houseOf(key: string): Promise<{ id: number; timeZone: string }> {
      const house = await ownerPage.house(key)
      if (house === undefined) throw unknownHouse(key)
      return house
    }

    async function choicesOf(houseId: number, caller: Caller): Promise<LetterChoices[]> {
      const owners = await ownerPage.owners(houseId)
      const shown = caller.role === 'owner' ? owners.filter(({ personId }) => personId === caller.personId) : owners
      return shown.map(({ name, personId, stopped }) => ({
        person: name,
        mine: personId === caller.personId,
        classes: LETTER_CLASSES.map((letterClass) => ({
          letterClass,
          words: CLASS_WORDS[letterClass],
          wanted: !stopped.has(letterClass),
        })),
      }))
    }

    app.get(
      '/api/houses/:id/owner-page',
      {
        config: { access: AT_HOUSE },
        schema: {
          params: HouseKeyParams,
          querystring: UnitsQuery,
          response: { 200: OwnerPageSchema, 202: BeingMade, ...ERRORS },
        },
      },
      async (request, reply) => {
        const { id: key } = request.params
        const caller = callerOf(request)
        const house = await houseOf(key)
        const firm = await ownerPage.firm()
        const units: Units = request.query.units ?? 'us'
        const notices = await ownerPage.notices({ house, units, firm })
        const view = await ownerPage.view(key, notices)
        if (view === undefined) throw unknownHouse(key)
        if (view === 'being made') return reply.status(202).send({ state: view })
        return reply.status(200).send({
          ...view,
          notices: notices.map(({ watch: _, ...notice }) => notice),
          call: firm,
          letters: await ownerPage.letters(house.id, caller.role === 'owner' ? caller.personId : null),
          choices: await choicesOf(house.id, caller),
        })
      },
    )

    app.put(
      '/api/houses/:id/letter-choice',
      {
        config: { access: OWNER_AT_HOUSE },
        schema: { params: HouseKeyParams, body: LetterChoiceBody, response: { 200: LetterChoicesSchema, ...ERRORS } },
      },
      async (request) => {
        const caller = callerOf(request)
        const { id: houseId } = await houseOf(request.params.id)
        await ownerPage.choose({ personId: caller.personId, houseId, ...request.body })
        return (await choicesOf(houseId, caller))[0]!
      },
    )
  }
