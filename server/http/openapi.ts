/** The document of all addresses at /api/openapi.json, and a page to read and try them at /api/docs; nothing from elsewhere. */
import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import swagger from '@fastify/swagger'
import swaggerUi from '@fastify/swagger-ui'
import type { FastifyInstance } from 'fastify'
import { packageFolder } from '../store/packageFolder.ts'
import { SIGNED_IN } from './access.ts'
import { PAGE_POLICY } from './guardHeaders.ts'

/** Must come before the routes it describes. */
export async function describeAddresses(app: FastifyInstance): Promise<void> {
  const { version } = JSON.parse(readFileSync(join(packageFolder(), 'package.json'), 'utf8')) as { version: string }
  await app.register(swagger, {
    openapi: {
      openapi: '3.1.0',
      info: {
        title: 'Underjoist',
        version,
        description:
          'Where the water under a house comes from, which remedy it needs, and whether the work dried it. SI units, instants as UTC milliseconds. Every answer that is not a success is {code, message, hint, where}.',
      },
    },
  })
  await app.register(async (scope) => {
    scope.addHook('onRoute', (route) => void (route.config = { ...route.config, access: SIGNED_IN }))
    await scope.register(swaggerUi, {
      routePrefix: '/api/docs',
      uiConfig: { validatorUrl: null },
      staticCSP: PAGE_POLICY,
    })
  })
  app.get('/api/openapi.json', { config: { access: SIGNED_IN }, schema: { hide: true } }, async () => app.swagger())
}
