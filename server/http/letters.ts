/** The outbox over HTTP, for the contractor. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Type } from 'typebox'
import type { LetterRow } from '../store/letters.ts'
import type { LetterDesk } from '../watch/post/letterDesk.ts'
import { CONTRACTOR, CONTRACTOR_IN_PERSON } from './access.ts'
import { ERRORS } from './contract/error.ts'
import { LetterParams, LetterSchema, LettersQuery, LettersSchema } from './contract/letters.ts'
import { ServiceError } from './errors.ts'

export interface LettersDeps {
  letters: LetterDesk
  now: () => number
}

export const lettersRoutes =
  ({ letters, now }: LettersDeps): FastifyPluginAsyncTypebox =>
  async (app) => {
    app.get(
      '/api/letters',
      {
        config: { access: CONTRACTOR },
        schema: { querystring: LettersQuery, response: { 200: LettersSchema, ...ERRORS } },
      },
      async ({ query: { before, house } }) => {
        const found = await letters.list({
          ...(before !== undefined && { before: Number(before) }),
          ...(house !== undefined && { house }),
        })
        return {
          asOf: now(),
          goesTo: letters.goesTo,
          problem: letters.problem(),
          letters: found.letters.map(row),
          more: found.more,
        }
      },
    )

    app.get(
      '/api/letters/:id',
      {
        config: { access: CONTRACTOR_IN_PERSON },
        schema: { params: LetterParams, response: { 200: LetterSchema, ...ERRORS } },
      },
      async ({ params: { id } }) => {
        const letter = await letters.find(Number(id))
        if (letter === null) throw unknownLetter(id)
        const { text, html, calendar, unsubscribeUrl, picture } = letter
        const inside = picture === null ? 'data:,' : `data:image/png;base64,${picture.toString('base64')}`
        return { ...row(letter), text, html: html.replaceAll('cid:picture"', `${inside}"`), calendar, unsubscribeUrl }
      },
    )

    app.post(
      '/api/letters/:id/again',
      { config: { access: CONTRACTOR }, schema: { params: LetterParams, response: { 204: Type.Null(), ...ERRORS } } },
      async ({ params: { id } }, reply) => {
        if (!(await letters.tryAgain(Number(id)))) throw unknownLetter(id)
        return reply.status(204).send(null)
      },
    )
  }

const unknownLetter = (id: string): ServiceError =>
  new ServiceError(
    'UNKNOWN_LETTER',
    `There is no such letter as ${id}, or it cannot go again.`,
    'Look at the list of letters.',
  )

const row = (letter: LetterRow) => ({
  id: letter.id,
  kind: letter.kind,
  house: letter.house,
  houseName: letter.houseName,
  toName: letter.toName,
  toAddress: letter.toAddress,
  subject: letter.subject,
  state: letter.state,
  createdAt: letter.createdAt,
  notBeforeAt: letter.notBeforeAt,
  sentAt: letter.sentAt,
  attempts: letter.attempts,
  problem: letter.problem,
  secret: letter.secret,
})
