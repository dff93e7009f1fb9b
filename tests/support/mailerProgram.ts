/**
 * The mailer as a program of its own, to be killed between the post and the mark. Arguments: database, SMTP address, and
 * "hold" to stand still there. Prints "posted" when the server has said yes.
 */
import { writeSync } from 'node:fs'
import { openDatabase } from '../../server/store/open.ts'
import { createMailer } from '../../server/watch/post/mailer.ts'
import { createSmtpPost } from '../../server/watch/post/smtpPost.ts'

const [path, url, hold, at] = process.argv.slice(2) as [string, string, string, string]
const db = openDatabase(path)
const post = createSmtpPost({ url, from: 'Example Drainage <letters@maple.example>' })
const mailer = createMailer({
  db,
  now: () => Number(at),
  post: {
    ...post,
    async send(letter) {
      const outcome = await post.send(letter)
      writeSync(1, 'posted\n') // past all buffers
      if (hold === 'hold') await new Promise((resolve) => setTimeout(resolve, 60_000))
      return outcome
    },
  },
  onUndelivered: async () => {},
  onPost: () => {},
})
await mailer.run()
await mailer.stop()
db.close()
