/** Builds the HTTP service without listening: `main.ts` and tests get the same one. */
import { constants } from 'node:zlib'
import compress from '@fastify/compress'
import cookie from '@fastify/cookie'
import type { TypeBoxTypeProvider } from '@fastify/type-provider-typebox'
import Fastify, { type FastifyInstance, type FastifyServerOptions } from 'fastify'
import type { FileDesk } from '../ingest/fileDesk.ts'
import type { Intake } from '../ingest/intake.ts'
import { createCounts } from '../people/counts.ts'
import type { Reach } from '../store/reach.ts'
import type { Balances } from '../study/balance/balanceJob.ts'
import type { HouseViews } from '../study/view/houseViews.ts'
import { type Door, guardRoutes } from './access.ts'
import { accountRoutes } from './account.ts'
import { balanceRoutes } from './balance.ts'
import { type ChecksDeps, checksRoutes } from './checks.ts'
import { countCostly } from './costly.ts'
import { type DemoDeps, demoRoutes } from './demoHouse.ts'
import { CODES, ServiceError, toAnswer, toServiceError } from './errors.ts'
import { tagAnswers } from './etag.ts'
import { filesRoutes } from './files.ts'
import { type FindingsDeps, findingsRoutes } from './findings.ts'
import { type FirmDeps, firmRoutes } from './firm.ts'
import { guardAnswers } from './guardHeaders.ts'
import { healthRoutes } from './health.ts'
import { type HousesDeps, housesRoutes } from './houses.ts'
import { type ImportsDeps, importsRoutes } from './imports.ts'
import { type LettersDeps, lettersRoutes } from './letters.ts'
import { type Patience, serverLimits, USUAL_PATIENCE } from './limits.ts'
import { type LiveDeps, liveRoutes } from './live.ts'
import { loggerOf } from './logged.ts'
import { loggerPhotosRoutes } from './loggerPhotos.ts'
import { type LoggersDeps, loggersRoutes } from './loggers.ts'
import { type Metrics, metricsRoutes } from './metrics.ts'
import { type NoticesDeps, noticesRoutes } from './notices.ts'
import { describeAddresses } from './openapi.ts'
import { ownerLinksRoutes } from './ownerLinks.ts'
import { type OwnerPageDeps, ownerPageRoutes } from './ownerPage.ts'
import { housePageRoutes } from './page.ts'
import { servePages } from './pages.ts'
import { peopleRoutes } from './people.ts'
import { readingsRoutes } from './readings.ts'
import { recordRoutes } from './record.ts'
import { type RoundDeps, roundRoutes } from './round.ts'
import { openDoorRoutes, type PeopleDeps, signInRoutes } from './signIn.ts'
import { sizingRoutes } from './sizing.ts'
import { type StationsDeps, stationsRoutes } from './stations.ts'
import { stopRoutes } from './stopLetters.ts'
import { refuseWrongHost } from './strangers.ts'

export interface AppDeps extends FindingsDeps {
  intake: Pick<Intake, 'receive'>
  imports: ImportsDeps
  /** Left out where no queue runs: its addresses are then not there. */
  balances?: Balances
  /** What the pages ask for; left out where only readings and findings are served. */
  pages?: HousesDeps &
    RoundDeps &
    DemoDeps &
    Omit<ChecksDeps, 'reach'> &
    StationsDeps &
    FirmDeps &
    OwnerPageDeps & { views: HouseViews; files: FileDesk }
  /** Loggers that report by themselves, and who looks at them live; left out where none are kept. */
  loggers?: LoggersDeps & LiveDeps
  /** The outbox; left out where no letters are written. */
  letters?: LettersDeps
  /** Left out where nothing is watched. */
  notices?: NoticesDeps
  /** Folder of the built pages; none are served when left out. */
  pagesFolder?: string
  /** How somebody comes in. */
  door: Door
  /** Those who may sign in; left out where nobody does. */
  people?: PeopleDeps
  reach: Reach
  /** Addresses of the proxy whose word is taken for where a request comes from; none when left out. */
  trustProxy?: string
  /** What keeps the service from doing its work, in sentences; empty when nothing does. */
  health: () => Promise<string[]>
  /** What keeps it from taking live readings too; as `health` when left out. */
  readiness?: () => Promise<string[]>
  /** Left out, there is no `/metrics`. */
  metrics?: Pick<Metrics, 'text' | 'contentType'>
  logger?: FastifyServerOptions['logger']
  /** Milliseconds that only grow, for counting what costs much. */
  steadyMs?: () => number
  patience?: Patience
}

/** Smaller answers are not worth packing. */
const COMPRESS_FROM_BYTES = 2048
/** One step over the usual: a tenth fewer bytes of a chart for a millisecond; further steps take tens of them. */
const BROTLI = {
  params: { [constants.BROTLI_PARAM_MODE]: constants.BROTLI_MODE_TEXT, [constants.BROTLI_PARAM_QUALITY]: 5 },
}

export async function buildApp(deps: AppDeps): Promise<FastifyInstance> {
  const app = Fastify({
    ...serverLimits(deps.patience ?? USUAL_PATIENCE),
    logger: loggerOf(deps.logger) as never,
    trustProxy: deps.trustProxy ?? false,
    // Fastify would turn null into 0 and drop fields it does not know: a reading must be as it was sent, or be refused.
    ajv: { customOptions: { coerceTypes: false, removeAdditional: false } },
  }).withTypeProvider<TypeBoxTypeProvider>()

  tagAnswers(app as unknown as FastifyInstance) // before the guard, which says no-store where nothing else was said
  guardAnswers(app as unknown as FastifyInstance)
  await app.register(compress, { threshold: COMPRESS_FROM_BYTES, brotliOptions: BROTLI }) // packs only what is registered after it
  app.removeContentTypeParser('text/plain') // JSON alone is taken; a form of another page can only send text

  const { door } = deps
  const publicUrl = door.kind === 'sign-in' ? door.publicUrl : null
  app.addHook('onRequest', async (request) => refuseWrongHost(request, publicUrl))
  await app.register(cookie)
  guardRoutes(app as unknown as FastifyInstance, door, deps.reach)
  countCostly(app as unknown as FastifyInstance, createCounts(deps.steadyMs ?? (() => performance.now())))
  app.setErrorHandler((error, request, reply) => {
    let known = toServiceError(error)
    if (known === null) {
      request.log.error(error)
      known = new ServiceError('UNEXPECTED', 'Something went wrong in the program.', 'Try again; its log says more.')
    }
    return reply.status(CODES[known.code].status).send(toAnswer(known))
  })
  app.setNotFoundHandler((request, reply) =>
    reply
      .status(CODES.NOT_FOUND.status)
      .send(
        toAnswer(
          new ServiceError('NOT_FOUND', `There is nothing at ${request.method} ${request.url}.`, 'Check the address.'),
        ),
      ),
  )
  await describeAddresses(app as unknown as FastifyInstance)
  await app.register(healthRoutes(deps))
  if (door.kind === 'open on this machine') await app.register(openDoorRoutes)
  if (deps.people) {
    await app.register(signInRoutes(deps.people))
    await app.register(accountRoutes(deps.people))
    await app.register(peopleRoutes(deps.people))
    await app.register(ownerLinksRoutes(deps.people))
  }
  if (deps.metrics) await app.register(metricsRoutes({ metrics: deps.metrics }))
  await app.register(readingsRoutes(deps))
  await app.register(importsRoutes({ imports: deps.imports, ...(deps.pages && { files: deps.pages.files }) }))
  if (deps.balances) await app.register(balanceRoutes({ balances: deps.balances }))
  await app.register(findingsRoutes(deps))
  await app.register(sizingRoutes)
  if (deps.pages) {
    const { views, files } = deps.pages
    await app.register(housesRoutes(deps.pages))
    await app.register(roundRoutes(deps.pages))
    await app.register(demoRoutes(deps.pages))
    await app.register(checksRoutes({ ...deps.pages, reach: deps.reach }))
    await app.register(stationsRoutes(deps.pages))
    await app.register(housePageRoutes({ views }))
    await app.register(ownerPageRoutes(deps.pages))
    await app.register(firmRoutes(deps.pages))
    await app.register(recordRoutes({ record: views.record }))
    await app.register(filesRoutes({ files }))
  }
  if (deps.notices) await app.register(noticesRoutes(deps.notices))
  if (deps.letters) {
    await app.register(lettersRoutes(deps.letters))
    await stopRoutes(app as unknown as FastifyInstance, deps.letters)
  }
  if (deps.loggers) {
    await app.register(loggersRoutes(deps.loggers))
    await app.register(loggerPhotosRoutes(deps.loggers))
    await app.register(liveRoutes(deps.loggers))
  }
  if (deps.pagesFolder) await servePages(app as unknown as FastifyInstance, deps.pagesFolder)
  return app as unknown as FastifyInstance
}
