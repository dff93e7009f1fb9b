/** Forms with files, as a browser sends them. */
import { ServiceError } from './errors.ts'

/** The reader of forms throws plain errors with these sentences where a form is cut off or is none. */
const BROKEN = /^(Multipart: Boundary not found|.*[Uu]nexpected end of multipart data)$/
const BROKEN_CODES = ['FST_MP_PREMATURE_CLOSE', 'FST_INVALID_MULTIPART_CONTENT_TYPE', 'FST_PROTO_VIOLATION']
const TOO_MUCH_CODES = ['FST_PARTS_LIMIT', 'FST_FIELDS_LIMIT']

/** @throws ServiceError with a sentence where the form itself is at fault */
export async function readingForm<T>(reading: () => Promise<T>): Promise<T> {
  try {
    return await reading()
  } catch (error) {
    const { code = '', message } = error as { code?: string; message: string }
    if (TOO_MUCH_CODES.includes(code)) {
      throw new ServiceError('TOO_LARGE', 'The form has fields that are no files.', 'Send files alone.', 'body')
    }
    if (!BROKEN_CODES.includes(code) && !BROKEN.test(message)) throw error
    throw new ServiceError('BAD_FORM', 'The form ended early, or is none.', 'Send it again from its start.', 'body')
  }
}
