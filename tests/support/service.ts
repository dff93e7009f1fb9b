/** The whole service on a scratch database, asked without a socket; jobs and workers run as they do when it serves. */
import { join } from 'node:path'
import type { FastifyInstance } from 'fastify'
import { onTestFinished } from 'vitest'
import { buildService, type ServiceParts } from '../../server/cli/runService.ts'
import { scratchFolder } from './database.ts'

export async function scratchService(now: () => number = Date.now, steadyMs?: () => number): Promise<ServiceParts> {
  const databasePath = join(scratchFolder(), 'underjoist.db')
  const parts = await buildService({
    door: 'open on this machine',
    databasePath,
    now,
    log: false,
    ...(steadyMs && { steadyMs }),
  })
  parts.queue.start()
  onTestFinished(() => parts.stop())
  return parts
}

export interface Part {
  name: string
  bytes: string | Buffer
}

/** A form with files, as a browser sends it. */
export function filesForm(files: readonly Part[]): { payload: Buffer; headers: Record<string, string> } {
  const mark = 'underjoist-test-boundary'
  const payload = Buffer.concat([
    ...files.flatMap(({ name, bytes }) => [
      Buffer.from(
        `--${mark}\r\ncontent-disposition: form-data; name="files"; filename="${name}"\r\ncontent-type: application/octet-stream\r\n\r\n`,
      ),
      Buffer.from(bytes),
      Buffer.from('\r\n'),
    ]),
    Buffer.from(`--${mark}--\r\n`),
  ])
  return { payload, headers: { 'content-type': `multipart/form-data; boundary=${mark}` } }
}

/** Asks again until an answer is not 202. */
export async function settled(app: FastifyInstance, url: string) {
  for (;;) {
    const answer = await app.inject(url)
    if (answer.statusCode !== 202) return answer
    await new Promise((resolve) => setTimeout(resolve, 50))
  }
}
