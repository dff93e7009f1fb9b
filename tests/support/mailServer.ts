/** A real SMTP server in this process that keeps what it is sent, and refuses what a test tells it to. */
import type { AddressInfo } from 'node:net'
import PostalMime, { type Email } from 'postal-mime'
import { SMTPServer } from 'smtp-server'
import { onTestFinished } from 'vitest'

export interface Mail {
  /** The return path: empty for machines. */
  envelopeFrom: string
  envelopeTo: string[]
  raw: string
  mail: Email
}

export interface MailServer {
  url: string
  port: number
  mails: Mail[]
  /** What each recipient was refused with, as the server saw them asked for. */
  asked: string[]
  stop(): Promise<void>
}

export const refusal = (responseCode: number, said: string): Error => Object.assign(new Error(said), { responseCode })

export async function mailServer({
  port = 0,
  onSender = () => null,
  onRecipient = () => null,
  onLetter = () => null,
}: {
  port?: number
  /** Each answers with a refusal, or null. */
  onSender?(address: string): Error | null
  onRecipient?(address: string): Error | null
  onLetter?(raw: string): Error | null
} = {}): Promise<MailServer> {
  const mails: Mail[] = []
  const asked: string[] = []
  const server = new SMTPServer({
    authOptional: true,
    disabledCommands: ['STARTTLS', 'AUTH'],
    onMailFrom: ({ address }, _, done) => done(onSender(address)),
    onRcptTo({ address }, _, done) {
      asked.push(address)
      done(onRecipient(address))
    },
    onData(stream, { envelope }, done) {
      const chunks: Buffer[] = []
      stream.on('data', (chunk: Buffer) => chunks.push(chunk))
      stream.on('end', async () => {
        const bytes = Buffer.concat(chunks)
        const raw = bytes.toString('latin1')
        const refused = onLetter(raw)
        if (refused !== null) return done(refused)
        mails.push({
          envelopeFrom: envelope.mailFrom === false ? '' : envelope.mailFrom.address,
          envelopeTo: envelope.rcptTo.map(({ address }) => address),
          raw,
          mail: await PostalMime.parse(bytes),
        })
        done()
      })
    },
  })
  server.on('error', () => {}) // a client that is killed resets its connection
  await new Promise<void>((resolve) => server.listen(port, '127.0.0.1', resolve))
  const bound = (server.server.address() as AddressInfo).port
  let open = true
  const stop = async () => {
    if (!open) return
    open = false
    await new Promise<void>((resolve) => server.close(() => resolve()))
  }
  onTestFinished(stop)
  return { url: `smtp://127.0.0.1:${bound}`, port: bound, mails, asked, stop }
}

/** One header of a mail as it went over the wire, unfolded; null where it is not there. */
export function header({ mail }: Mail, name: string): string | null {
  const found = mail.headers.filter(({ key }) => key === name.toLowerCase())
  return found.length === 0 ? null : found.map(({ value }) => value).join(' | ')
}
