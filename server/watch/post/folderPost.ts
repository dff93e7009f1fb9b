/** Letters as files in a folder, for a service that has no mail server: nothing leaves the machine, everything can be read. */
import { mkdir, open, rename } from 'node:fs/promises'
import { join } from 'node:path'
import { createTransport } from 'nodemailer'
import { flushToDisk } from '../../files/durable.ts'
import { messageOf } from './message.ts'
import { oneLine } from './oneLine.ts'
import type { Post } from './post.ts'

/** Secret letters are among them: they are for the owner of the service alone. */
const FOLDER_MODE = 0o700
const FILE_MODE = 0o600

export function createFolderPost({ folder, from }: { folder: string; from: string }): Post {
  const transport = createTransport({ streamTransport: true, buffer: true, newline: 'windows' })
  return {
    goesTo: folder,
    async send(letter) {
      try {
        const { message } = await transport.sendMail(messageOf(letter, from))
        // The same letter has the same name: sent twice, it is there once.
        const name = `${new Date(letter.createdAt).toISOString().slice(0, 10)}-${String(letter.id).padStart(6, '0')}.eml`
        await mkdir(folder, { recursive: true, mode: FOLDER_MODE })
        await writeWhole(join(folder, name), message as Buffer)
        await flushToDisk(folder)
        return { kind: 'sent' }
      } catch (error) {
        return { kind: 'no post', problem: `The letter could not be written: ${oneLine((error as Error).message)}` }
      }
    },
    close: () => transport.close(),
  }
}

/** Under another name until it is whole, so that nobody reads half a letter. */
async function writeWhole(path: string, bytes: Buffer): Promise<void> {
  const handle = await open(`${path}.part`, 'w', FILE_MODE)
  try {
    await handle.writeFile(bytes)
    await handle.sync()
  } finally {
    await handle.close()
  }
  await rename(`${path}.part`, path)
}
