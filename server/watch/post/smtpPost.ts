/**
 * Letters over SMTP. The return path is empty (RFC 3834), so that no machine answers a machine; servers that demand a
 * sender refuse it at MAIL FROM, and are given ours from then on.
 */
import { createTransport } from 'nodemailer'
import { isLoopback } from '../../ingest/thisMachine.ts'
import { isAddress, messageOf } from './message.ts'
import { oneLine } from './oneLine.ts'
import type { Outcome, Post } from './post.ts'

export interface SmtpSettings {
  /** smtp://… or smtps://…, with user and password where the server wants them. */
  url: string
  /** Such as "Example Drainage <letters@example.com>". */
  from: string
  /** Longest wait for a connection and for each answer [ms]. */
  patienceMs?: number
}

const PATIENCE_MS = 30_000

export function createSmtpPost({ url, from, patienceMs = PATIENCE_MS }: SmtpSettings): Post {
  const { hostname, host, username, searchParams } = new URL(url)
  const transport = createTransport({
    url,
    connectionTimeout: patienceMs,
    greetingTimeout: patienceMs,
    socketTimeout: patienceMs,
    // A password must not go over an open line.
    ...(username !== '' && !isLoopback(hostname) && !searchParams.has('requireTLS') && { requireTLS: true }),
  })
  const own = /<([^<>]+)>\s*$/.exec(from)?.[1] ?? from.trim()
  let emptyPath = true

  async function attempt(letter: Parameters<Post['send']>[0]): Promise<Outcome> {
    try {
      const envelope = { from: emptyPath ? '' : own, to: [letter.toAddress] }
      await transport.sendMail({ ...messageOf(letter, from), envelope })
      return { kind: 'sent' }
    } catch (error) {
      const outcome = outcomeOf(error as SmtpError)
      if (outcome.kind !== 'sender refused') return outcome
      if (!emptyPath) return { kind: 'no post', problem: outcome.problem }
      emptyPath = false
      return attempt(letter)
    }
  }

  return {
    goesTo: host,
    async send(letter) {
      if (!isAddress(letter.toAddress)) {
        return { kind: 'letter refused', problem: `"${oneLine(letter.toAddress)}" is not an e-mail address.` }
      }
      return attempt(letter)
    },
    close: () => transport.close(),
  }
}

interface SmtpError extends Error {
  code?: string
  command?: string
  responseCode?: number
  response?: string
  rejectedErrors?: SmtpError[]
}

/** What a server says of an address that it would say of any other too: our policy or our fame is at fault (RFC 3463). */
const OF_POLICY = /^5\d\d[ -]5\.7\./

function outcomeOf(error: SmtpError): Outcome | { kind: 'sender refused'; problem: string } {
  const { responseCode, command, response, message } = error.rejectedErrors?.[0] ?? error
  const said = oneLine(response ?? message)
  if (responseCode === undefined || responseCode === 421 || error.code === 'EAUTH') {
    return { kind: 'no post', problem: `The mail server was not reached, or did not let us in: ${said}` }
  }
  const forGood = responseCode >= 500
  switch (command) {
    case 'MAIL FROM':
      return forGood
        ? { kind: 'sender refused', problem: `The mail server does not take letters from us: ${said}` }
        : { kind: 'no post', problem: `The mail server takes no letters now: ${said}` }
    case 'RCPT TO':
      if (!forGood) return { kind: 'later', problem: `The mail server asks to come again: ${said}` }
      if (OF_POLICY.test(said)) return { kind: 'letter refused', problem: `The mail server refused us: ${said}` }
      return { kind: 'address refused', problem: `The mail server refused the address: ${said}` }
    case 'DATA':
      return forGood
        ? { kind: 'letter refused', problem: `The mail server refused the letter: ${said}` }
        : { kind: 'later', problem: `The mail server asks to come again: ${said}` }
    default:
      return { kind: 'no post', problem: `The mail server did not let us in: ${said}` }
  }
}
