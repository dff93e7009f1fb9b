/** A weak tag on what pages ask for again and again: an answer that has not changed is not sent twice. */
import { createHash } from 'node:crypto'
import type { FastifyInstance } from 'fastify'

/** Must come before compression: the tag belongs to what the answer says, not to how it was packed. */
export function tagAnswers(app: FastifyInstance): void {
  app.addHook('onSend', async (request, reply, payload) => {
    if (request.method !== 'GET' || reply.statusCode !== 200 || typeof payload !== 'string') return payload
    if (reply.getHeader('cache-control') === 'no-store') return payload // its route forbids keeping it
    const tag = `W/"${createHash('sha256').update(payload).digest('base64url').slice(0, 22)}"`
    reply.header('etag', tag).header('cache-control', 'private, no-cache')
    if (!tagsOf(request.headers['if-none-match']).includes(tag)) return payload
    reply.status(304).removeHeader('content-length').removeHeader('content-type')
    return ''
  })
}

/** Weak comparison: a tag counts with or without its W/. */
const tagsOf = (header: string | undefined): string[] =>
  (header ?? '').split(',').map((tag) => `W/${tag.trim().replace(/^W\//, '')}`)
