/** Bringing readings in: files are kept aside and looked at; nothing is stored as readings before somebody says so. */

import multipart from '@fastify/multipart'
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Type } from 'typebox'
import { DestinationRefused } from '../ingest/destinations.ts'
import type { FileDesk, LookedAt } from '../ingest/fileDesk.ts'
import { type Access, CREW_AT_HOUSE } from './access.ts'
import { nameOf } from './caller.ts'
import { ERRORS } from './contract/error.ts'
import { type KeptFile, KeptFileSchema, KeptFilesSchema, LookBody, StoreBody, StoringSchema } from './contract/files.ts'
import { HouseKeyParams } from './contract/findings.ts'
import { FILES } from './costly.ts'
import { ServiceError } from './errors.ts'
import { readingForm } from './forms.ts'
import { unknownHouse } from './unknownHouse.ts'

const BRINGS_READINGS: Access = { ...CREW_AT_HOUSE, takesReadings: true }
const MOST_BYTES = 200 * 1024 * 1024
const MOST_FILES = 50
const FileParams = Type.Object({ ...HouseKeyParams.properties, file: Type.String({ pattern: '^[0-9a-f-]{36}$' }) })

export const filesRoutes =
  ({ files }: { files: FileDesk }): FastifyPluginAsyncTypebox =>
  async (app) => {
    await app.register(multipart, { limits: { fileSize: MOST_BYTES, files: MOST_FILES, fields: 0 } })

    app.post(
      '/api/houses/:id/files',
      {
        config: { access: BRINGS_READINGS, costs: FILES },
        schema: { params: HouseKeyParams, response: { 201: KeptFilesSchema, ...ERRORS } },
      },
      async (request, reply) => {
        const { id } = request.params
        if (!request.isMultipart()) {
          throw new ServiceError(
            'NOT_A_FORM',
            'The files are not sent as a form.',
            'Send multipart/form-data with one part a file.',
            'header content-type',
          )
        }
        const looked: KeptFile[] = []
        await readingForm(async () => {
          for await (const part of request.files()) {
            const one = await files.keep(id, part.filename === '' ? 'unnamed file' : part.filename, part.file)
            if (one === undefined) throw unknownHouse(id)
            if (part.file.truncated) {
              await files.drop(id, one.kept.file)
              throw new ServiceError(
                'TOO_LARGE',
                `${part.filename} is larger than 200 MB.`,
                'Zip it with gzip, or cut it by years.',
                'body',
              )
            }
            looked.push(toAnswer(one))
          }
          if (looked.length === 0) throw noFile()
        })
        return reply.status(201).send({ files: looked })
      },
    )

    app.post(
      '/api/houses/:id/files/:file/look',
      {
        config: { access: BRINGS_READINGS, costs: FILES },
        schema: { params: FileParams, body: LookBody, response: { 200: KeptFileSchema, ...ERRORS } },
      },
      async ({ params: { id, file }, body: { answers } }) => {
        const looked = await files.look(id, file, answers)
        if (looked === undefined) throw unknownFile()
        return toAnswer(looked)
      },
    )

    app.post(
      '/api/houses/:id/files/:file/store',
      {
        config: { access: BRINGS_READINGS, costs: FILES },
        schema: { params: FileParams, body: StoreBody, response: { 202: StoringSchema, ...ERRORS } },
      },
      async (request, reply) => {
        const { id, file } = request.params
        const begun = await files.store(id, file, { ...request.body, who: nameOf(request) }).catch((error: unknown) => {
          if (!(error instanceof DestinationRefused)) throw error
          throw new ServiceError('BAD_DESTINATION', error.message, 'Choose where these readings belong.', 'body/probes')
        })
        if (begun === undefined) throw unknownFile()
        if ('why' in begun)
          throw new ServiceError('NOT_UNDERSTOOD', begun.why, 'Answer it and store again.', 'body/answers')
        return reply.status(202).send(begun)
      },
    )

    app.delete(
      '/api/houses/:id/files/:file',
      {
        config: { access: BRINGS_READINGS },
        schema: { params: FileParams, response: { 204: Type.Null(), ...ERRORS } },
      },
      async ({ params: { id, file } }, reply) => {
        await files.drop(id, file)
        return reply.status(204).send(null)
      },
    )
  }

const noFile = () =>
  new ServiceError('BAD_FORM', 'There is no file in the form.', 'Send one part a file, with its name.', 'body')

const unknownFile = () =>
  new ServiceError(
    'UNKNOWN_FILE',
    'There is no such file any more.',
    'Drop it again: files are kept for a day.',
    'params/file',
  )

const toAnswer = ({ kept, head, look, answers, knownImportId }: LookedAt): KeptFile => ({
  file: kept.file,
  name: kept.name,
  bytes: kept.bytes,
  head,
  look,
  answers,
  knownImportId,
})
