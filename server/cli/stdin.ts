/** What is handed over on standard input, where no other program and no history of the shell sees it. */
import { UsageError } from './command.ts'

/** No password is longer. */
const MOST_BYTES = 4096

/** The first line, as it is: blanks belong to a password. @throws UsageError when there is none */
export async function readPassword(input: AsyncIterable<Buffer | string>): Promise<string> {
  const parts: Buffer[] = []
  let bytes = 0
  for await (const part of input) {
    const chunk = Buffer.from(part)
    parts.push(chunk)
    bytes += chunk.length
    if (bytes > MOST_BYTES) throw new UsageError(`The password on standard input is longer than ${MOST_BYTES} bytes.`)
  }
  const [password = '', ...rest] = Buffer.concat(parts)
    .toString('utf8')
    .replace(/\r?\n$/, '')
    .split(/\r?\n/)
  if (password === '') throw new UsageError('--password-stdin is given, but standard input is empty.')
  if (rest.length > 0) throw new UsageError('--password-stdin takes one line, and standard input has several.')
  return password
}
