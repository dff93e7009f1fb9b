/** The pages: what `npm run build` left in dist/web. Every address that is not the service's own is one of theirs. */

import { existsSync } from 'node:fs'
import { join, sep } from 'node:path'
import fastifyStatic from '@fastify/static'
import type { FastifyInstance } from 'fastify'
import { ANYONE } from './access.ts'
import { PAGE_POLICY } from './guardHeaders.ts'

const YEAR_S = 365 * 24 * 3600
const PAGE = 'index.html'

const NOT_BUILT = `<!doctype html>
<html lang="en-US"><meta charset="utf-8"><title>Underjoist</title>
<body style="font: 16px/1.5 sans-serif; margin: 2rem; max-width: 40rem">
<h1>The pages are not built yet</h1>
<p>The service runs, but there is nothing to show: stop it, run <code>npm run build</code>, and start it again.
What it answers to programs is at <a href="/api/docs">/api/docs</a>.</p>
</body></html>
`

/** @param folder of the built pages; it may be empty or missing, and may be filled while the service runs */
export async function servePages(app: FastifyInstance, folder: string): Promise<void> {
  await app.register(fastifyStatic, {
    root: folder,
    serve: false,
    preCompressed: true, // as vite.config.ts left them
    cacheControl: false,
    logLevel: 'warn',
    setHeaders(reply, path) {
      // The names of built files hold a hash of what is in them; nothing else does. Only a file that is there is kept.
      const forever = path.startsWith(join(folder, 'assets', sep))
      reply.header('cache-control', forever ? `public, max-age=${YEAR_S}, immutable` : 'no-cache')
    },
  })

  app.get('/*', { config: { access: ANYONE }, schema: { hide: true } as object }, (request, reply) => {
    const { pathname } = new URL(request.url, 'http://here')
    if (/^\/api(\/|$)/.test(pathname)) return reply.callNotFound()
    if (/\.\w+$/.test(pathname) && pathname !== `/${PAGE}`) return reply.sendFile(pathname.slice(1))
    reply.header('content-security-policy', PAGE_POLICY)
    if (existsSync(join(folder, PAGE))) return reply.sendFile(PAGE)
    return reply.type('text/html; charset=utf-8').header('cache-control', 'no-cache').send(NOT_BUILT)
  })
}
