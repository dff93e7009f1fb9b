/** The salts of the check in words, with the care each asks for. Cautions from memory of ordinary safety sheets. */
import { saltRhPct } from '../../physics/salts.ts'
import { CHECK_SALTS, type CheckSalt } from '../../series/saltCheck.ts'

const WORDS: Record<CheckSalt, { name: string; caution: string }> = {
  LiCl: {
    name: 'lithium chloride',
    caution: 'Harmful if swallowed, irritates skin and eyes: gloves and goggles, out of reach of children and pets.',
  },
  MgCl2: {
    name: 'magnesium chloride',
    caution: 'Its slurry draws water from the air and spills over: fill low. Irritates eyes.',
  },
  NaCl: { name: 'sodium chloride', caution: 'Pure table salt without additives. Corrodes metal it touches.' },
  KCl: { name: 'potassium chloride', caution: 'Do not swallow: dangerous for people with heart or kidney trouble.' },
  K2SO4: {
    name: 'potassium sulfate',
    caution: 'Near 98 % the least cooling makes dew in the box: a room whose temperature keeps still.',
  },
}

export const CHECK_SALT_WORDS = CHECK_SALTS.map((key) => ({ key, ...WORDS[key], rhPct: saltRhPct(key, 20) }))
