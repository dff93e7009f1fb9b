/** The topics that loggers and the service meet at: `underjoist/<logger>/<what>`. */

export const TOPIC_ROOT = 'underjoist'
/** `receipt` is written by the service and read by the logger; the others the other way round. */
export const TOPIC_KINDS = ['readings', 'senml', 'status', 'receipt'] as const
export type TopicKind = (typeof TOPIC_KINDS)[number]

export interface LoggerTopic {
  logger: string
  what: TopicKind
}

/** As keys of loggers are (store/houseTree.ts). */
const KEY = /^[a-z0-9][a-z0-9._-]{0,63}$/

/** Null for every topic that is none of ours. */
export function topicOf(topic: string): LoggerTopic | null {
  const [root, logger, what, ...more] = topic.split('/')
  if (root !== TOPIC_ROOT || logger === undefined || what === undefined || more.length > 0) return null
  const kind = TOPIC_KINDS.find((one) => one === what)
  return kind === undefined || !KEY.test(logger) ? null : { logger, what: kind }
}

export const topicFor = (logger: string, what: TopicKind): string => `${TOPIC_ROOT}/${logger}/${what}`

/** A logger speaks below its own topic alone, and not in the name of the service. */
export const mayPublish = (logger: string, place: LoggerTopic): boolean =>
  place.logger === logger && place.what !== 'receipt'

/** And it hears nothing but its own receipt. */
export const maySubscribe = (logger: string, filter: string): boolean => filter === topicFor(logger, 'receipt')

/** What the service listens to at a broker that others run. */
export const topicsOfAll = (): string[] =>
  TOPIC_KINDS.filter((what) => what !== 'receipt').map((what) => topicFor('+', what))
