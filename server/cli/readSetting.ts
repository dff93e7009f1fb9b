/** One setting read from the environment, or a sentence that says why it cannot be meant. */
import { ENVIRONMENT, type Setting, type SettingName, type Value } from './environment.ts'

export type Environment = Readonly<Record<string, string | undefined>>

/** A setting cannot be meant; the message says which, what was found, and what it takes. */
export class SettingRefused extends Error {
  override name = 'SettingRefused'
}

/**
 * An empty text is as good as none.
 * @throws SettingRefused
 */
export function readSetting<N extends SettingName>(env: Environment, name: N): Value<N> {
  const { standard }: Setting<unknown> = ENVIRONMENT[name]
  const text = env[name] || standard
  return text === undefined ? (undefined as Value<N>) : readText(name, text)
}

/**
 * @param shownAs what the person typed it as, such as `--keep`
 * @throws SettingRefused
 */
export function readText<N extends SettingName>(name: N, text: string, shownAs: string = name): Value<N> {
  const { kind, secret }: Setting<unknown> = ENVIRONMENT[name]
  try {
    return kind.read(text) as Value<N>
  } catch (error) {
    const reason = (error as Error).message
    // What a reason quotes could be a part of the secret.
    const found = secret ? `${shownAs} cannot be meant` : `${shownAs} is "${text}"`
    const why = reason === '' || secret ? '' : ` (${reason})`
    throw new SettingRefused(`${found}, expected ${kind.takes}, such as ${kind.example}${why}.`)
  }
}
