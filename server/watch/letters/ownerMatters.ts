/**
 * What an owner is told of each topic: what happened and what to do, at most three steps that need no one to crawl in.
 * Nothing here is a verdict on health, law or structure, and nothing says that mold was found.
 */
import { moment, percent, shortDay, temperature } from './phrases.ts'
import type { FirmTold, HouseTold, ReaderTold, Told } from './told.ts'

export interface Matter {
  /** Fits the list of a phone: what and where. */
  subject: string
  headline: string
  happened: string
  steps: string[]
  /** Where there may be water, or wet wires. */
  nearWater: boolean
  cleared: { subject: string; headline: string; happened: string }
}

const LOOK = 'Look from the hatch with a flashlight. Do not crawl in.'

export interface Context {
  told: Pick<Told, 'watch' | 'urgency' | 'sinceAt' | 'body'>
  house: Pick<HouseTold, 'timeZone'>
  reader: Pick<ReaderTold, 'units'>
  firm: Pick<FirmTold, 'phone'>
}

export function ownerMatter({ told, house, reader, firm }: Context): Matter {
  const { sinceAt, body } = told
  const { numbers } = body
  const { timeZone } = house
  const since = moment(sinceAt, timeZone)
  const sinceDay = shortDay(sinceAt, timeZone)
  const callIfWater = `If you see water, call ${firm.phone === null ? 'us' : `us at ${firm.phone}`} today.`
  const now = (value: number | undefined, text: (value: number) => string) => (value === undefined ? '' : text(value))
  const cleared = (subject: string, headline: string, happened: string) => ({ subject, headline, happened })

  switch (told.watch) {
    case 'liquid water':
      return {
        subject: `Water under the house since ${since}`,
        headline: 'There is water on the ground under the house.',
        happened: `A water probe has been wet since ${since}.`,
        steps: [
          LOOK,
          'If a pipe may be leaking, shut the water off at the main valve, if you can reach it on a dry floor.',
          firm.phone === null ? 'Call us now.' : `Call us now: ${firm.phone}.`,
        ],
        nearWater: true,
        cleared: cleared(
          'No more water at the probe under the house',
          'The water under the house is gone from the probe.',
          `The water probe has been dry for 12 hours. It was wet since ${since}.`,
        ),
      }
    case 'freezing': {
      const freezes = told.urgency === 'urgent'
      // A thaw by day does not end it.
      const thaws = freezes && (numbers.tempC ?? 0) > (numbers.lineTempC ?? 0)
      const temp = now(numbers.tempC, (tempC) => `: ${temperature(tempC, reader.units)}`)
      const lowest = now(numbers.tempLowestC, (tempC) => `, at its lowest ${temperature(tempC, reader.units)}`)
      return {
        subject: freezes ? `Freezing under the house since ${since}` : 'Close to freezing under the house',
        headline: thaws
          ? 'It froze under the house, and may again.'
          : `It is ${freezes ? '' : 'close to '}freezing under the house.`,
        happened: `The air under the house has been ${freezes ? 'near or below' : 'near'} freezing since ${since}${temp}${lowest}. Water pipes there can freeze.`,
        steps: [
          'Let a thin stream of water run at the tap that is farthest from the meter, hot and cold.',
          'See that the hatch to the crawl space is shut. Never block openings that are there for floods.',
          'Know where the main water valve is. If a pipe bursts, shut it there and call us.',
        ],
        nearWater: false,
        cleared: cleared(
          'Above freezing again under the house',
          'It is above freezing again under the house.',
          `The air under the house was near or below freezing from ${since}. Look at the taps: if one gives no water, call us before you warm any pipe.`,
        ),
      }
    }
    case 'power lost':
      return {
        subject: `Power lost under the house since ${since}`,
        headline: 'The power under the house is off.',
        happened: `What is plugged in there has had no power since ${since}. The dehumidifier or the pump is standing still.`,
        steps: [
          'See whether the rest of the house has power. If it has none, ask your electric company.',
          'With dry hands and on a dry floor, look at the breaker and at the outlet’s own switch, and set it once.',
          'If it trips again, leave it off and call a licensed electrician.',
        ],
        nearWater: true,
        cleared: cleared(
          'The power under the house is back',
          'The power under the house is back.',
          `It was off from ${since}. We watch whether the air dries again.`,
        ),
      }
    case 'damp': {
      const rh = now(numbers.rhPct, (rhPct) => ` Its relative humidity was ${percent(rhPct)} over the last day`)
      const line = now(numbers.lineRhPct, (value) => `; above ${percent(value)} for a day is where we write to you`)
      return {
        subject: `Damp under the house since ${sinceDay}`,
        headline: 'The air under the house is too damp.',
        happened: `The air under the house has held too much moisture since ${since}.${rh && `${rh}${line}.`}`,
        steps: [
          'From the hatch, see whether the dehumidifier runs and its light is on. Do not crawl in.',
          'See that the hatch shuts tightly and that no cover has come off a closed vent.',
          callIfWater,
        ],
        nearWater: false,
        cleared: cleared(
          'Dry again under the house',
          'The air under the house is dry again.',
          `The air has stayed below the line for a day. It was damp from ${since}.`,
        ),
      }
    }
    case 'vapor excess':
      return {
        subject: `Damp under the house since ${sinceDay}`,
        headline: 'The air under the house carries much more water than the air outdoors.',
        happened: `Since ${since} the air has been wetter than the weather makes it.`,
        steps: ['Look at the downspouts and gutters: does the water run away from the house?', LOOK, callIfWater],
        nearWater: false,
        cleared: cleared(
          'Dry again under the house',
          'The air under the house is like the air outdoors again.',
          `The air was wetter from ${since}.`,
        ),
      }
    case 'wood wet':
    case 'wood rising': {
      const mc = now(numbers.woodMcPct, (value) => ` It holds ${percent(value, 1)} moisture now`)
      const rise = now(numbers.woodRisePoints, (value) => `, up ${value.toFixed(1)} points`)
      const line = now(numbers.lineWoodMcPct, (value) => `; ${percent(value)} is the line we watch`)
      return {
        subject: `Wood getting wetter under the house since ${sinceDay}`,
        headline: 'The wood under the house is getting wetter.',
        happened: `The wood has been getting wetter since ${since}.${mc && `${mc}${rise}${line}.`}`,
        steps: [
          LOOK,
          callIfWater,
          'Note when the bath, the washer or the sprinklers run. It helps us find the source.',
        ],
        nearWater: false,
        cleared: cleared(
          'The wood under the house is drying',
          'The wood under the house is below the line again.',
          `The wood was too wet from ${since}.${mc && `${mc}.`}`,
        ),
      }
    }
    case 'condensation': {
      const on = body.about === null ? '' : ` on the ${body.about}`
      const hours = now(numbers.condensingHoursPerDay, (value) => `, about ${value.toFixed(0)} hours a day`)
      return {
        subject: `Water is condensing under the house since ${sinceDay}`,
        headline: 'Water is condensing under the house.',
        happened: `Water from the air has been condensing${on} since ${sinceDay}${hours}.`,
        steps: [
          LOOK,
          'Is cold air blowing out of a duct there, or a window of the basement open? Tell us.',
          callIfWater,
        ],
        nearWater: false,
        cleared: cleared(
          'No more condensation under the house',
          'It is no longer condensing under the house.',
          `Water was condensing${on} from ${sinceDay}.`,
        ),
      }
    }
    case 'wetter than explained':
      return {
        subject: `Wetter under the house than the weather explains since ${sinceDay}`,
        headline: 'It is wetter under the house than the weather explains.',
        happened: `Since about ${shortDay(sinceAt, timeZone)} something brings in more water than before. The readings do not say what.`,
        steps: [
          LOOK,
          callIfWater,
          'Has anything changed: a leak, sprinklers, a vent opened, the machine moved? Tell us.',
        ],
        nearWater: false,
        cleared: cleared(
          'Under the house it is as before',
          'The air under the house is as the weather explains again.',
          `It was wetter from about ${sinceDay}.`,
        ),
      }
    case 'dehumidifier stopped':
    case 'dehumidifier too small':
    case 'dehumidifier short cycling':
      return machineMatter(told.watch, { since, sinceDay, callIfWater })
    case 'silent': {
      const all = body.circumstances.includes('whole house')
      return {
        subject: all ? `Nothing heard from under the house since ${since}` : `One logger is silent since ${since}`,
        headline: all ? 'We hear nothing from under your house.' : 'We no longer hear one of the loggers.',
        happened: `${all ? 'No logger has' : `The logger has not`} reported since ${since}. That does not mean it is dry: we cannot tell.`,
        steps: [
          all
            ? 'See that the internet of the house works, and that the box that receives the loggers has power.'
            : 'Was the logger moved or covered? Tell us. There is no need to go and look for it.',
        ],
        nearWater: false,
        cleared: cleared(
          all ? 'We hear from under the house again' : 'The silent logger reports again',
          all ? 'We hear from under your house again.' : 'The logger reports again.',
          `It was silent from ${since}.`,
        ),
      }
    }
    case 'rain response back':
      return {
        subject: `Rain gets under the house again since ${sinceDay}`,
        headline: 'Rain gets under the house again.',
        happened: `After the rain of ${sinceDay} it became wetter. It had stopped doing so after the work.`,
        steps: [
          'Look at gutters, downspouts and where their pipes come out: is one blocked or torn off?',
          LOOK,
          callIfWater,
        ],
        nearWater: true,
        cleared: cleared(
          'Rain no longer shows under the house',
          'Rain no longer shows under the house.',
          `It did since ${sinceDay}.`,
        ),
      }
    default:
      throw new Error(`An owner is never told of "${told.watch}".`)
  }
}

function machineMatter(
  watch: 'dehumidifier stopped' | 'dehumidifier too small' | 'dehumidifier short cycling',
  { since, sinceDay, callIfWater }: { since: string; sinceDay: string; callIfWater: string },
): Matter {
  const cleared = {
    subject: 'The dehumidifier works again',
    headline: 'The dehumidifier works again.',
    happened: `It did not do its work from ${since}.`,
  }
  if (watch === 'dehumidifier stopped') {
    return {
      subject: `The dehumidifier stopped on ${sinceDay}`,
      headline: 'The dehumidifier has stopped.',
      happened: `The dehumidifier has not run since ${since}. Without it the air under the house gets damp.`,
      steps: [
        'From the hatch, see whether its light is on. Do not crawl in.',
        'With dry hands and on a dry floor, look at the breaker and at the outlet’s own switch, and set it once.',
        callIfWater,
      ],
      nearWater: true,
      cleared,
    }
  }
  const tooSmall = watch === 'dehumidifier too small'
  return {
    subject: tooSmall ? 'The dehumidifier does not keep up' : 'The dehumidifier starts and stops too often',
    headline: tooSmall ? 'The dehumidifier does not keep up.' : 'The dehumidifier starts and stops too often.',
    happened: tooSmall
      ? `Since ${sinceDay} the dehumidifier has run almost all the time, and the air stays damp.`
      : `Since ${sinceDay} the dehumidifier has run in short turns, which wears it out.`,
    steps: ['See that the hatch shuts tightly.', 'Leave its settings as they are, so that we can see what is wrong.'],
    nearWater: false,
    cleared,
  }
}
