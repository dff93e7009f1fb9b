/**
 * Links of owners: number of the row and its end, signed, so that letters can write the same link again. The key is in
 * the database: whoever has a backup can make links, as they can read the houses.
 */
import type { Database } from '../store/open.ts'
import { findOpenLink } from '../store/ownerLinks.ts'
import { createSigner } from './signed.ts'

export interface SignedLink {
  id: number
  endsAt: number
}

export interface LinkSigner {
  sign(link: SignedLink): string
  /** @returns null when it was not signed here, or was changed since */
  read(link: string): SignedLink | null
}

const PURPOSE = 'owner link'

export async function linkSignerOf(db: Database): Promise<LinkSigner> {
  const signer = await createSigner(db)
  return {
    sign: ({ id, endsAt }) => signer.sign(PURPOSE, [id, endsAt]),
    read(link) {
      const words = signer.open(PURPOSE, link)
      return words && { id: Number(words[0]), endsAt: Number(words[1]) }
    },
  }
}

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
