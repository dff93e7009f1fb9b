/** Trouble the store foresees. The message says what happened, the hint what to do; callers choose by `kind`. */
export class StoreError extends Error {
  override name = 'StoreError'
  readonly kind: 'unknown probe' | 'unknown house' | 'disk full' | 'busy'
  readonly hint: string

  constructor(kind: StoreError['kind'], message: string, hint: string, options?: ErrorOptions) {
    super(message, options)
    this.kind = kind
    this.hint = hint
  }
}

/** Turns the two failures of SQLite that a person can mend into sentences; anything else is a bug and goes on as it is. */
export function explained(error: unknown): unknown {
  const code = (error as { code?: unknown } | null)?.code
  if (code === 'SQLITE_FULL') {
    return new StoreError(
      'disk full',
      'The disk with the database is full, so these readings were not stored.',
      'Free some space and send them again; whatever was acknowledged before is safe.',
      { cause: error },
    )
  }
  if (typeof code === 'string' && code.startsWith('SQLITE_BUSY')) {
    return new StoreError(
      'busy',
      'Another program kept the database locked for longer than 10 seconds.',
      'Close the program that has the database file open, then send again.',
      { cause: error },
    )
  }
  return error
}
