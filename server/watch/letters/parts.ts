/** A letter before it is text or HTML: its parts, in the order in which they are read. */
export interface LetterParts {
  /** Before the headline: whose house, as its owner calls it. */
  house: string
  headline: string
  /** What happened: place, since when, numbers. */
  happened: string[]
  /** How urgent, in a sentence or two. Null in letters that ask for nothing. */
  urgency: string | null
  /** At most three. */
  steps: string[]
  /** What can hurt who follows the steps. */
  cautions: string[]
  /** What the firm does, and by when. */
  weDo: string | null
  call: string
  picture: { caption: string; alt: string } | null
  /** Tables of the regular letters: head and rows of two cells. */
  rows: { head: string; rows: [string, string][] } | null
  links: { label: string; url: string; first?: true }[]
  /** What the links do. */
  note: string | null
  /** Under everything, small. */
  foot: string[]
  stop: { label: string; url: string } | null
}

export const NOT_SEEN = 'Humidity loggers do not see carbon monoxide, gas, radon or a live wire.'
export const ABOUT_WATER =
  'Water and electricity: keep away from the water, and from wet cords, outlets and machines. Touch no breaker with wet hands or standing in water: a licensed electrician can cut the power. If you smell gas, leave the house and call from outside.'
export const INVENTED = 'Invented house, for demonstration.'
