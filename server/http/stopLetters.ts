/**
 * Stopping letters by the address that stands in them (RFC 8058): mail programs fetch addresses before anybody clicks, so
 * GET shows a page with a button, and POST acts. The page needs no script and no sign-in; its address is the secret.
 */
import type { FastifyInstance, FastifyReply } from 'fastify'
import { escaped } from '../people/letters.ts'
import type { LetterDesk } from '../watch/post/letterDesk.ts'
import { ANYONE } from './access.ts'

const MOST_BYTES = 4096
/** The page is its own, with a style and a form to its own address. */
const POLICY =
  "default-src 'none'; style-src 'unsafe-inline'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

export async function stopRoutes(app: FastifyInstance, { letters }: { letters: LetterDesk }): Promise<void> {
  await app.register(async (scope) => {
    // Both forms that RFC 8058 allows. Neither is taken anywhere else.
    scope.addContentTypeParser(
      ['application/x-www-form-urlencoded', 'multipart/form-data'],
      { parseAs: 'string', bodyLimit: MOST_BYTES },
      (_, body, done) => done(null, body),
    )
    const config = { access: ANYONE }
    const schema = { hide: true } as object

    scope.get<{ Params: { token: string } }>(
      '/stop/:token',
      { config, schema },
      async ({ params: { token } }, reply) => {
        const words = await letters.stopWords(token)
        if (words === null) return page(reply, 404, UNKNOWN)
        return page(
          reply,
          200,
          `<h1>Stop ${escaped(words.what)}?</h1><p>About ${escaped(words.house)}. Other letters go on.</p>${button('stop', 'Stop these letters')}`,
        )
      },
    )

    scope.post<{ Params: { token: string } }>('/stop/:token', { config, schema }, async (request, reply) => {
      const { token } = request.params
      const words = await letters.stopWords(token)
      if (words === null) return page(reply, 404, UNKNOWN)
      const asked = whatIsAsked(typeof request.body === 'string' ? request.body : '')
      if (asked === null) {
        return page(
          reply,
          400,
          '<h1>Nothing was changed</h1><p>Open the address from the letter, and press its button.</p>',
        )
      }
      if (asked === 'resume') {
        await letters.resume(token)
        return page(reply, 200, `<h1>You get ${escaped(words.what)} again.</h1><p>About ${escaped(words.house)}.</p>`)
      }
      await letters.stop(token)
      return page(
        reply,
        200,
        `<h1>Stopped: ${escaped(words.what)}.</h1><p>About ${escaped(words.house)}. Other letters go on.</p>${button('resume', 'I want them after all')}`,
      )
    })
  })
}

function whatIsAsked(body: string): 'stop' | 'resume' | null {
  const form = new URLSearchParams(body)
  if (form.get('List-Unsubscribe') === 'One-Click' || form.get('do') === 'stop') return 'stop'
  if (form.get('do') === 'resume') return 'resume'
  const part = /name="?List-Unsubscribe"?[^\r\n]*\r?\n(?:[^\r\n]+\r?\n)*\r?\nOne-Click\r?\n/i
  return part.test(body) ? 'stop' : null
}

const UNKNOWN = '<h1>This address stops nothing</h1><p>It is cut off, or its house or person is no longer here.</p>'

const button = (word: string, label: string): string =>
  `<form method="post"><button name="do" value="${word}">${label}</button></form>`

function page(reply: FastifyReply, status: number, body: string): FastifyReply {
  return reply
    .status(status)
    .header('content-security-policy', POLICY)
    .type('text/html; charset=utf-8')
    .send(`<!doctype html><html lang="en-US"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<meta name="color-scheme" content="light dark"><title>Letters</title><style>
body{margin:0;padding:28px 20px;max-width:36rem;background:#f6f2e9;color:#16233b;font:17px/25px system-ui,sans-serif;overflow-wrap:break-word}
h1{font-size:26px;line-height:31px;font-weight:560;margin:0 0 8px}p{margin:0 0 20px}
button{font:inherit;font-weight:560;min-height:44px;padding:8px 18px;border:1.5px solid;border-radius:2px;background:#16233b;color:#f6f2e9;cursor:pointer}
@media(prefers-color-scheme:dark){body{background:#10151d;color:#eae4d6}button{background:#eae4d6;color:#10151d}}
</style></head><body><main>${body}</main></body></html>`)
}
