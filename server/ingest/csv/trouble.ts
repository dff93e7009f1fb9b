import type { Refusal } from './understanding.ts'

/** A file that cannot be read on; carries the sentence the person gets. Caught by look.ts and rows.ts only. */
export class FileTrouble extends Error {
  readonly refusal: Refusal

  constructor(code: Refusal['code'], message: string, hint: string) {
    super(message)
    this.refusal = { code, message, hint }
  }
}
