/** Photos: one of a logger where it hangs comes in, and any that a house has goes out. */

import multipart from '@fastify/multipart'
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Type } from 'typebox'
import { photoType } from '../files/photos.ts'
import { type Access, CREW_AT_LOGGER, SIGNED_IN } from './access.ts'
import { nameOf } from './caller.ts'
import { ERRORS } from './contract/error.ts'
import { LoggerParams } from './contract/loggers.ts'
import { FILES } from './costly.ts'
import { ServiceError } from './errors.ts'
import { readingForm } from './forms.ts'
import { type LoggersDeps, refusing } from './loggers.ts'

const MOST_BYTES = 8 * 1024 * 1024
const SEES_PHOTO: Access = { ...SIGNED_IN, about: { kind: 'photo', param: 'hash' } }
const YEAR_S = 365 * 24 * 3600
const PhotoParams = Type.Object({ hash: Type.String({ pattern: '^[0-9a-f]{64}$' }) })
const KeptPhotoSchema = Type.Object({ hash: Type.String({ description: 'SHA-256; GET /api/photos/HASH' }) })

export const loggerPhotosRoutes =
  ({ loggers }: LoggersDeps): FastifyPluginAsyncTypebox =>
  async (app) => {
    await app.register(multipart, { limits: { fileSize: MOST_BYTES, files: 1, fields: 0 } })

    app.post(
      '/api/loggers/:key/photo',
      {
        config: { access: CREW_AT_LOGGER, costs: FILES },
        schema: { params: LoggerParams, response: { 201: KeptPhotoSchema, ...ERRORS } },
      },
      async (request, reply) => {
        const part = request.isMultipart() ? await readingForm(() => request.file()) : undefined
        if (part === undefined) {
          throw new ServiceError(
            'NOT_A_FORM',
            'The photo is not sent as a form.',
            'Send multipart/form-data with one file.',
            'header content-type',
          )
        }
        const bytes = await readingForm(() => part.toBuffer()).catch((error: unknown) => {
          if (!part.file.truncated) throw error
          throw new ServiceError('TOO_LARGE', 'The photo is larger than 8 MB.', 'Send a smaller one.', 'body')
        })
        const mediaType = photoType(bytes)
        if (mediaType === null) {
          throw new ServiceError(
            'BAD_PHOTO',
            'This is neither a JPEG, a PNG nor a WebP picture.',
            'Save the photo as JPEG and send it again.',
            'body',
          )
        }
        const hash = await refusing(loggers.addPhoto(request.params.key, bytes, mediaType, nameOf(request)))
        return reply.status(201).send({ hash })
      },
    )

    app.get(
      '/api/photos/:hash',
      { config: { access: SEES_PHOTO }, schema: { params: PhotoParams } },
      async ({ params: { hash } }, reply) => {
        const photo = await loggers.photo(hash)
        if (photo === undefined) {
          throw new ServiceError(
            'UNKNOWN_PHOTO',
            'There is no such photo here.',
            'The photos of a house are named in GET /api/houses/KEY.',
            'params/hash',
          )
        }
        reply.header('cache-control', `private, max-age=${YEAR_S}, immutable`)
        return reply.type(photo.mediaType).send(photo.bytes)
      },
    )
  }
