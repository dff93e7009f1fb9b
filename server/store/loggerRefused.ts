/** What was asked of a logger is not done; the message is a sentence for people, and nothing was changed. */
export class LoggerRefused extends Error {
  override name = 'LoggerRefused'
  readonly kind: 'unknown logger' | 'unknown house' | 'taken' | 'bad placement' | 'retired'
  /** The part of what was asked that stands against it, such as probes/0/spot. */
  readonly field: string

  constructor(kind: LoggerRefused['kind'], message: string, field: string) {
    super(message)
    this.kind = kind
    this.field = field
  }
}

export const noSuchLogger = (key: string): LoggerRefused =>
  new LoggerRefused('unknown logger', `There is no logger "${key}".`, 'key')

export const noSuchHouse = (key: string, field = 'house'): LoggerRefused =>
  new LoggerRefused('unknown house', `There is no house "${key}".`, field)

export const isRetired = (key: string, field: string): LoggerRefused =>
  new LoggerRefused('retired', `Logger "${key}" is retired; it neither hangs anywhere nor signs in any more.`, field)
