/** Letters as the running service has them: written when something happened, sent when they are due. */
import { createRepeated } from '../jobs/repeated.ts'
import type { SendLetter } from '../people/letters.ts'
import { createSigner } from '../people/signed.ts'
import { findContractors } from '../store/letterReaders.ts'
import { noteLetterDomain, storeLetter, storeLetters } from '../store/letters.ts'
import type { Database } from '../store/open.ts'
import { postTroubleLetter } from '../watch/letters/toContractors.ts'
import { writeDueLetters } from '../watch/post/clerk.ts'
import { createFolderPost } from '../watch/post/folderPost.ts'
import { createLetterDesk, type LetterDesk } from '../watch/post/letterDesk.ts'
import { createMailer } from '../watch/post/mailer.ts'
import { domainOf } from '../watch/post/message.ts'
import { createRegularClerk, type RegularClerkOptions } from '../watch/post/regularClerk.ts'
import { createSmtpPost } from '../watch/post/smtpPost.ts'
import type { LetterSettings } from './settings.ts'

export interface Letters {
  desk: LetterDesk
  /** Nothing is written or sent before. */
  start(): void
  stop(): Promise<void>
}

interface LettersOptions {
  publicUrl: string
  now: () => number
  log: { info(sentence: string): void; warn(sentence: string): void }
  /** As the owner's page says it; null while it is being found. */
  levelOf: RegularClerkOptions['levelOf']
  onUnexpected(error: unknown): void
}

const ROUND_MS = 15_000
const FIRST_MS = 5000
const REGULAR_MS = 60_000

/** @param settings none: what is decided waits in the outbox, and nothing leaves it */
export async function createLetters(
  db: Database,
  settings: LetterSettings | undefined,
  { publicUrl: address, now, log, levelOf, onUnexpected }: LettersOptions,
): Promise<Letters> {
  const publicUrl = address.replace(/\/+$/, '')
  const signer = await createSigner(db)
  const post =
    settings &&
    (settings.smtpUrl === undefined
      ? createFolderPost({ folder: settings.folder, from: settings.from })
      : createSmtpPost({ url: settings.smtpUrl, from: settings.from }))
  const mailer =
    post &&
    createMailer({
      db,
      post,
      now,
      async onUndelivered(letter, problem) {
        if (letter.kind === 'post trouble') return // or each would make another
        const others = (await findContractors(db)).filter(({ email }) => email !== letter.toAddress.toLowerCase())
        const { id: letterId, toName, toAddress, subject, houseId } = letter
        const facts = { letterId, toName, toAddress, subject, houseId, problem, at: now(), publicUrl }
        await storeLetters(
          db,
          others.map((to) => postTroubleLetter(to, facts)),
        )
      },
      onPost: (problem) =>
        problem === null ? log.info('Letters go out again.') : log.warn(`No letters go out. ${problem}`),
    })
  const domain = settings && domainOf(settings.from)
  if (domain) await noteLetterDomain(db, domain)
  const rounds = createRepeated(
    async () => {
      await writeDueLetters({ db, now, publicUrl, signer })
      await mailer?.run()
    },
    { everyMs: ROUND_MS, firstMs: FIRST_MS, onUnexpected },
  )
  const onTrouble = (_house: string, error: unknown) => onUnexpected(error)
  // Beside the others: a morning of many summaries must not hold an alarm back.
  const regular = createRepeated(createRegularClerk({ db, now, publicUrl, signer, levelOf, onTrouble }), {
    everyMs: REGULAR_MS,
    firstMs: REGULAR_MS,
    onUnexpected,
  })
  return {
    desk: createLetterDesk({
      db,
      signer,
      now,
      publicUrl,
      goesTo: post?.goesTo ?? null,
      problem: () => mailer?.problem() ?? null,
    }),
    start() {
      rounds.start()
      regular.start()
    },
    async stop() {
      await mailer?.stop()
      await rounds.stop()
      await regular.stop()
    },
  }
}

/** Letters of accounts, into the same outbox. */
export const accountLetters =
  (db: Database, now: () => number): SendLetter =>
  async ({ to, name, ...letter }) =>
    void (await storeLetter(db, { ...letter, toAddress: to, toName: name, createdAt: now() }))
