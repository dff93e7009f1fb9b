/** Kinds of letters, and the classes by which a person stops them: each alone, so that none takes the alarms along. */

export const LETTER_CLASSES = ['alarms', 'soon', 'news', 'upkeep'] as const
export type LetterClass = (typeof LETTER_CLASSES)[number]

/** As the pages and letters name them, in the middle of a sentence. */
export const CLASS_WORDS: Record<LetterClass, string> = {
  alarms: 'alarms about water, freezing and power',
  soon: 'letters about damp and other things that can wait a few days',
  news: 'the regular summary',
  upkeep: 'reminders of upkeep',
}

/** Null: cannot be stopped, because each is sent once, for something its person did or has to know. */
const CLASS_OF_KIND = {
  urgent: 'alarms',
  'urgent all clear': 'alarms',
  soon: 'soon',
  'soon all clear': 'soon',
  placed: 'news',
  weekly: 'news',
  monthly: 'news',
  season: 'news',
  upkeep: 'upkeep',
  'post trouble': null,
  'alarms stopped': null,
} as const satisfies Record<string, LetterClass | null>

export type LetterKind = keyof typeof CLASS_OF_KIND

/** Letters of accounts have kinds of their own and no class. */
export const classOfKind = (kind: string): LetterClass | null =>
  kind in CLASS_OF_KIND ? CLASS_OF_KIND[kind as LetterKind] : null

export const isLetterClass = (text: string): text is LetterClass => (LETTER_CLASSES as readonly string[]).includes(text)
