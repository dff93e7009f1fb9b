/** The three roles in words. */
import type { Role } from '../../server/http/contract/words.ts'

export const ROLE_WORDS: Record<Role, string> = {
  contractor: 'contractor',
  technician: 'technician',
  owner: 'owner of a house',
}

export const ROLE_HEADS: Record<Role, string> = {
  contractor: 'Contractors',
  technician: 'Technicians',
  owner: 'Owners',
}

export const ROLE_MEANS: Record<Role, string> = {
  contractor: 'Reach everything, and let others in.',
  technician: 'Reach the houses they are given: loggers, files, works and surveys.',
  owner: 'See their own house, and choose what to do.',
}
