/** How far the numbered messages of a logger have arrived: what the receipt tells it, so that what is lost comes again. */

export interface Arrived {
  /** All up to this one are here, or will never come. */
  through: number
  /** Spans that are here beyond that, ends included, in order, with at least one number missing before each. */
  beyond: [from: number, to: number][]
  /** Numbers given up: the logger keeps them no longer. */
  missed: number
}

export const NONE_ARRIVED: Arrived = { through: 0, beyond: [], missed: 0 }

/** A logger that never says what it still keeps leaves holes for good; the oldest is given up for the next beyond this. */
const MOST_SPANS = 64

/**
 * @param number of the message that is here now, 1 or more
 * @param oldest number that the logger still keeps, itself included; null when it did not say
 */
export function withArrival(before: Arrived, number: number, oldest: number | null): Arrived {
  let { through, missed } = before
  let beyond = number > through ? joined(before.beyond, number) : before.beyond
  // What it no longer keeps will not come. It keeps the message that it sends, whatever it says.
  const from = Math.min(oldest ?? 0, number)
  if (from - 1 > through) {
    const here = beyond.reduce((sum, [a, b]) => sum + Math.max(0, Math.min(b, from - 1) - a + 1), 0)
    missed += from - 1 - through - here
    through = from - 1
  }
  ;({ through, beyond } = closedUp(through, beyond))
  while (beyond.length > MOST_SPANS) {
    missed += beyond[0]![0] - through - 1
    ;({ through, beyond } = closedUp(beyond[0]![0] - 1, beyond))
  }
  return { through, beyond, missed }
}

/** Whether a message of this number is here already. */
export const hasArrived = ({ through, beyond }: Arrived, number: number): boolean =>
  number <= through || beyond.some(([from, to]) => from <= number && number <= to)

/** How many numbers between the first and the last heard are missing still. */
export function stillMissing({ through, beyond }: Arrived): number {
  let missing = 0
  let last = through
  for (const [from, to] of beyond) {
    missing += from - last - 1
    last = to
  }
  return missing
}

function joined(spans: Arrived['beyond'], number: number): Arrived['beyond'] {
  const all: Arrived['beyond'] = []
  let [from, to] = [number, number]
  let placed = false
  for (const span of spans) {
    if (span[1] < from - 1) all.push(span)
    else if (span[0] > to + 1) {
      if (!placed) all.push([from, to])
      placed = true
      all.push(span)
    } else {
      from = Math.min(from, span[0])
      to = Math.max(to, span[1])
    }
  }
  if (!placed) all.push([from, to])
  return all
}

function closedUp(through: number, beyond: Arrived['beyond']): Pick<Arrived, 'through' | 'beyond'> {
  let last = through
  const left: Arrived['beyond'] = []
  for (const span of beyond) {
    if (span[0] <= last + 1) last = Math.max(last, span[1])
    else left.push(span)
  }
  return { through: last, beyond: left }
}
