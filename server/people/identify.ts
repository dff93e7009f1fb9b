/** Who shows this cookie or this token; asked for every request. */
import { findSessionCaller, findTokenCaller, noteSeen, noteTokenUsed } from '../store/callers.ts'
import { StoreError } from '../store/errors.ts'
import { callerBy, IDLE_MS, type Parts, SEEN_EVERY_MS } from './parts.ts'
import { hashOf } from './secrets.ts'
import type { Caller } from './types.ts'

/** Programs and people who search for lost secrets know a token by it. */
export const TOKEN_PREFIX = 'ujt_'

export function createIdentify({ db, now }: Pick<Parts, 'db' | 'now'>) {
  return async ({ cookie, bearer }: { cookie?: string; bearer?: string }): Promise<Caller | null> =>
    bearer !== undefined ? byToken(bearer) : cookie !== undefined ? byCookie(cookie) : null

  async function byCookie(cookie: string): Promise<Caller | null> {
    const at = now()
    const found = await findSessionCaller(db, hashOf(cookie), at)
    if (found === undefined || found.endsAt <= at || found.seenAt <= at - IDLE_MS) return null
    const { sessionId, seenAt, linkHouse } = found
    if (linkHouse === null) return null
    if (at - seenAt >= SEEN_EVERY_MS) await whenThereIsRoom(noteSeen(db, sessionId, at))
    if (linkHouse === undefined) return callerBy(found, { via: 'password', scope: 'write', sessionId })
    return callerBy({ ...found, houses: [linkHouse] }, { via: 'link', scope: 'write', sessionId })
  }

  async function byToken(token: string): Promise<Caller | null> {
    if (!token.startsWith(TOKEN_PREFIX)) return null
    const at = now()
    const found = await findTokenCaller(db, hashOf(token), at)
    if (found === undefined) return null
    if (at - (found.usedAt ?? 0) >= SEEN_EVERY_MS) await whenThereIsRoom(noteTokenUsed(db, found.tokenId, at))
    return callerBy(found, { via: 'token', scope: found.scope, sessionId: null })
  }
}

/** A full disk is read about on the pages: it keeps nobody out. */
async function whenThereIsRoom(writing: Promise<void>): Promise<void> {
  await writing.catch((error: unknown) => {
    if (!(error instanceof StoreError)) throw error
  })
}
