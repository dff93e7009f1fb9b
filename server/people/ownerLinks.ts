/**
 * Links of owners: number of the row, end, and a signature by a key of this installation, so that letters can write the
 * same link again. The key is in the database: whoever has a backup can make links, as they can read the houses.
 */
import { createHmac, randomBytes } from 'node:crypto'
import type { Database } from '../store/open.ts'
import { findOpenLink } from '../store/ownerLinks.ts'
import { keptServiceFact } from '../store/serviceFacts.ts'
import { sameSecret } from './secrets.ts'

export interface SignedLink {
  id: number
  endsAt: number
}

export interface LinkSigner {
  sign(link: SignedLink): string
  /** @returns null when it was not signed here, or was changed since */
  read(link: string): SignedLink | null
}

/** @param key 256 random bits as hex */
export function createLinkSigner(key: string): LinkSigner {
  const signature = (id: string, end: string) =>
    createHmac('sha256', Buffer.from(key, 'hex')).update(`owner link ${id} ${end}`, 'utf8').digest('base64url')
  return {
    sign: ({ id, endsAt }) => `${id}.${endsAt}.${signature(String(id), String(endsAt))}`,
    read(link) {
      const [, id, end, signed] = /^([1-9]\d{0,14})\.([1-9]\d{0,14})\.([\w-]{43})$/.exec(link) ?? []
      if (id === undefined || end === undefined || signed === undefined) return null
      return sameSecret(signed, signature(id, end)) ? { id: Number(id), endsAt: Number(end) } : null
    },
  }
}

const KEY_BYTES = 32

/** With the key of this installation, made when it is needed for the first time. */
export const linkSignerOf = async (db: Database): Promise<LinkSigner> =>
  createLinkSigner(await keptServiceFact(db, 'owner link key', () => randomBytes(KEY_BYTES).toString('hex')))

/** What stands behind "#" is sent to no server and written into no log. */
export const linkAddress = (publicUrl: string, link: string): string => `${publicUrl.replace(/\/+$/, '')}/owner#${link}`

/** The address of the link that an owner has, for a letter; null when there is none that lets them in. */
export async function ownerAddress(
  db: Database,
  { publicUrl, houseId, personId, now }: { publicUrl: string; houseId: number; personId: number; now: number },
): Promise<string | null> {
  const link = await findOpenLink(db, { houseId, personId, now })
  return link && linkAddress(publicUrl, (await linkSignerOf(db)).sign(link))
}
