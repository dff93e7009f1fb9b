/** Letters that no notice causes: loggers are placed, the regular summary, and upkeep. */

import type { Level } from '../../moisture/level.ts'
import { inchesFromMm } from '../../physics/units.ts'
import { type UpkeepTask, upkeepCalendar } from './calendar.ts'
import { html } from './html.ts'
import { CLASS_WORDS, classOfKind, type LetterKind } from './kinds.ts'
import { callWords, stopLink, type Written } from './noticeLetter.ts'
import { INVENTED, type LetterParts, NOT_SEEN } from './parts.ts'
import { day, lowerFirst, month, percent, shortDay, type Units } from './phrases.ts'
import { drawPicture } from './picture.ts'
import { plainText } from './plainText.ts'
import type { CalendarNote } from './regularHouse.ts'
import type { FirmTold, HouseTold, LinksTold, PictureData, ReaderTold } from './told.ts'

export interface RegularAsked {
  house: HouseTold
  reader: Pick<ReaderTold, 'units'>
  firm: FirmTold
  links: LinksTold
  now: number
}

function written(
  kind: LetterKind,
  subject: string,
  { house, reader, links }: RegularAsked,
  parts: Partial<LetterParts> & Pick<LetterParts, 'headline' | 'happened' | 'call'>,
  { picture = null, calendar = null }: { picture?: PictureData | null; calendar?: string | null } = {},
): Written {
  const letterClass = classOfKind(kind)!
  const drawn = picture && drawPicture(picture, { timeZone: house.timeZone, units: reader.units })
  const whole: LetterParts = {
    house: house.name,
    urgency: null,
    steps: [],
    cautions: [],
    weDo: null,
    rows: null,
    picture: drawn,
    links: [{ label: 'Look at the house', url: links.look, first: true }],
    note: null,
    foot: [NOT_SEEN, ...(house.invented ? [INVENTED] : [])],
    stop: stopLink(letterClass, links),
    ...parts,
  }
  return {
    subject,
    text: plainText(whole),
    html: html(whole, subject),
    picture: drawn && { png: drawn.png, alt: drawn.alt },
    calendar,
    unsubscribeUrl: links.stop(letterClass),
  }
}

/** After the first visit: what would spoil the baseline is asked not to be done. */
export function placedLetter(asked: RegularAsked, { loggers }: { loggers: number }): Written {
  const { firm } = asked
  return written('placed', 'Loggers are placed: please change nothing yet', asked, {
    headline: 'The loggers are in place. Please change nothing yet.',
    happened: [
      `${loggers === 1 ? 'One logger measures' : `${loggers} loggers measure`} the air under your house from now on. We first want to see it as it is, through some rain and some dry days.`,
    ],
    steps: [
      'Leave vents, hatch, fans and any dehumidifier as they are.',
      'Leave the loggers where they hang.',
      'Tell us if something changes anyway: a leak, a power cut, somebody who worked there.',
    ],
    weDo: 'We write to you when enough has been seen, and at once if water or freezing shows.',
    call: callWords(firm),
  })
}

export interface NewsFacts {
  from: number
  to: number
  /** null while nothing has been found yet. */
  level: Level | null
  /** The highest 24 h mean of relative humidity, where it was measured. */
  rhHighestPct: number | null
  rainMm: number | null
  /** Matters that opened and that ended in this span, in a few words each. */
  opened: string[]
  ended: string[]
  /** Of what was open: matters that could wait and got no letter of their own, as too many had gone. */
  unwritten: string[]
  silentLoggers: number
  picture: PictureData | null
}

const STATE: Record<Level, string> = {
  dry: 'Dry under the house.',
  drying: 'Drying under the house, as expected.',
  damp: 'Damp under the house: we are looking.',
  wet: 'Wet under the house.',
  silent: 'We hear nothing from under the house, so we cannot say that it is dry.',
}

const NOT_YET = 'What was measured is still being looked at.'

/** What comes with the season, for crawl spaces; common practice, no source. */
const SEASON_NOTES = {
  'before humid months': 'The humid months begin. Keep the hatch shut and the downspouts clear.',
  'before frost': 'Frost is near. Take hoses off the outside taps, and know where the main water valve is.',
} as const satisfies Record<CalendarNote, string>

export function newsLetter(
  kind: 'weekly' | 'monthly',
  asked: RegularAsked,
  facts: NewsFacts,
  note: CalendarNote | null,
): Written {
  const { house, firm, reader } = asked
  const span =
    kind === 'weekly'
      ? `week from ${shortDay(facts.from, house.timeZone)} to ${shortDay(facts.to - 1, house.timeZone)}`
      : month(facts.from, house.timeZone)
  const state = facts.level === null ? NOT_YET : STATE[facts.level]
  const none = (matters: string[]) => (matters.length === 0 ? 'none' : matters.join('; '))
  return written(
    kind,
    `${state.replace(/\.$/, '')}: ${span}`,
    asked,
    {
      headline: state,
      happened: [
        `The ${kind === 'weekly' ? span : `month of ${span}`}.`,
        ...(facts.silentLoggers === 0
          ? []
          : [
              `${facts.silentLoggers === 1 ? 'One logger is' : `${facts.silentLoggers} loggers are`} silent: this counts only what we hear.`,
            ]),
        ...(note === null ? [] : [SEASON_NOTES[note]]),
      ],
      rows: {
        head: 'In numbers',
        rows: [
          ...(facts.rhHighestPct === null
            ? []
            : ([['Dampest day', `${percent(facts.rhHighestPct)} relative humidity`]] as [string, string][])),
          ['Rain', facts.rainMm === null ? 'not known' : rain(facts.rainMm, reader.units)],
          ['Began', none(facts.opened)],
          ['Ended', none(facts.ended)],
          ...(facts.unwritten.length === 0
            ? []
            : ([['Without a letter of its own', facts.unwritten.join('; ')]] as [string, string][])),
        ],
      },
      call: callWords(firm),
    },
    { picture: facts.picture },
  )
}

/** After the first rain that puts gutters and ground to the test. */
export function bigRainLetter(asked: RegularAsked): Written {
  return written('season', 'After the first big rain: a look around the house', asked, {
    headline: 'That was the first big rain since the loggers hang here.',
    happened: ['How a house takes a big rain shows best while it is still wet outside.'],
    steps: [
      'Walk around the house: did a gutter run over, did a downspout come apart?',
      'Look where the water went: away from the walls, or toward them?',
      'Tell us what you saw, best with a photo.',
    ],
    weDo: 'We look at what the loggers say about this rain, and write at once if water shows.',
    call: callWords(asked.firm),
  })
}

const rain = (rainMm: number, units: Units): string =>
  units === 'us' ? `${inchesFromMm(rainMm).toFixed(1)}\u00a0in` : `${rainMm.toFixed(0)}\u00a0mm`

/** Small works that keep it dry, with the days on which they are due. */
export function upkeepLetter(asked: RegularAsked, tasks: readonly UpkeepTask[]): Written {
  const { house, firm, now } = asked
  const calendar = upkeepCalendar(tasks, { house, firm, now })
  return written(
    'upkeep',
    `Upkeep: ${tasks.map(({ what }) => lowerFirst(what)).join(', ')}`,
    asked,
    {
      headline: tasks.length === 1 ? 'A small work is due.' : 'Small works are due.',
      happened: ['They keep it dry under the house. A calendar file comes with this letter.'],
      rows: {
        head: 'What is due',
        rows: tasks.map(({ what, how, dueAt }) => [`${what}, ${day(dueAt, house.timeZone)}`, how]),
      },
      cautions: ['Unplug a machine before you open it. If that means going into the crawl space, leave it to us.'],
      call: callWords(firm),
      stop: { label: `Stop ${CLASS_WORDS.upkeep}`, url: asked.links.stop('upkeep') },
    },
    { calendar },
  )
}
