/** The same for the firm's own people: short, with the numbers, and what to look at first. */
import { inchesFromMm } from '../../physics/units.ts'
import type { NoticeBody, Watch } from '../types.ts'
import { day, moment, percent, placeLine, temperature, type Units } from './phrases.ts'
import type { HouseTold, ReaderTold, Told } from './told.ts'

const WHAT: Record<Watch, string> = {
  'liquid water': 'Water under the house',
  freezing: 'Freezing under the house',
  'power lost': 'No power under the house',
  damp: 'Damp air',
  'vapor excess': 'Air wetter than outdoors',
  condensation: 'Condensation',
  'wood wet': 'Wet wood',
  'wood rising': 'Wood getting wetter',
  mold: 'Conditions in which mold can grow',
  'wetter than explained': 'Wetter than the weather explains',
  'rain response back': 'Rain shows again',
  'dehumidifier stopped': 'Dehumidifier stopped',
  'dehumidifier too small': 'Dehumidifier does not keep up',
  'dehumidifier short cycling': 'Dehumidifier short cycling',
  silent: 'Silent',
  'battery low': 'Battery low',
  'probe gone bad': 'Probe gone bad',
  'station stale': 'Weather station stale',
}

/** What to look at first; common practice, no source. */
const STEPS: Record<Watch, string[]> = {
  'liquid water': ['Call the owner.', 'Nobody enters before the power there is off and no gas is smelled.'],
  freezing: ['Call the owner about the taps.', 'At the next visit look at pipes, hatch and vents.'],
  'power lost': ['Call the owner: breaker, outlet, or the whole house?'],
  damp: ['Compare with the dehumidifier’s power and the hatch before you drive.'],
  'vapor excess': ['Look at storms and at the ground cover in the record.'],
  condensation: ['Compare the surface with the dew point: insulation, or less moisture?'],
  'wood wet': ['Confirm with a pin meter at the next visit.'],
  'wood rising': ['Confirm with a pin meter at the next visit.'],
  mold: ['The index is a model’s, not a sight: look before anything is said of mold.'],
  'wetter than explained': ['Look at the findings: they rank what may have begun.'],
  'rain response back': ['Look at drains, outlets and downspouts.'],
  'dehumidifier stopped': ['Call the owner: light, breaker, drain hose.'],
  'dehumidifier too small': ['Look at load and leaks before a larger machine.'],
  'dehumidifier short cycling': ['Look at set point, sensor, and the air around the machine.'],
  silent: ['Power, internet and battery first, then the logger.'],
  'battery low': ['Take a battery along.'],
  'probe gone bad': ['Check it beside a good one, or replace it.'],
  'station stale': ['Look at the station’s page.'],
}

/** In the subject of a letter to the firm, and in its groups. */
export const watchInWords = (watch: Watch): string => WHAT[watch]

export interface FirmMatter {
  subject: string
  headline: string
  happened: string[]
  steps: string[]
}

export function firmMatter(told: Told, house: HouseTold, { units }: Pick<ReaderTold, 'units'>): FirmMatter {
  const { watch, body, sinceAt, overAt, change } = told
  const what = WHAT[watch]
  const where = [placeLine(body)].filter((line) => line !== null)
  if (change === 'cleared') {
    const over = overAt === null ? '' : ` The readings say it ended on ${moment(overAt, house.timeZone)}.`
    return {
      subject: `Over: ${what.toLowerCase()}, ${house.name}`,
      headline: `Over: ${what.toLowerCase()}.`,
      happened: [`It began on ${moment(sinceAt, house.timeZone)}.${over}`, ...where],
      steps: [],
    }
  }
  const escalated = change === 'escalated'
  const numbers = numbersInWords(body, units)
  const around = body.circumstances.filter((word) => word !== 'whole house')
  return {
    subject: `${escalated ? `Nobody has acknowledged: ${what.toLowerCase()}` : what}, ${house.name}`,
    headline: `${what}${body.circumstances.includes('whole house') ? ': the whole house' : ''}.`,
    happened: [
      `Since ${moment(sinceAt, house.timeZone)}.${body.about === null ? '' : ` About: ${body.about}.`}`,
      ...where,
      ...(numbers === '' ? [] : [numbers]),
      ...(around.length === 0 ? [] : [`Known around it: ${around.join(', ')}.`]),
      ...(escalated
        ? [`Raised on ${day(told.at, house.timeZone)} at the latest; nobody has acknowledged it in 24 hours.`]
        : []),
    ],
    steps: STEPS[watch],
  }
}

function numbersInWords({ numbers: n }: NoticeBody, units: Units): string {
  const parts = [
    n.rhPct !== undefined &&
      `24 h mean ${percent(n.rhPct)} RH${n.lineRhPct === undefined ? '' : `, line ${percent(n.lineRhPct)}`}`,
    n.tempC !== undefined && `air ${temperature(n.tempC, units)}`,
    n.tempLowestC !== undefined && `lowest ${temperature(n.tempLowestC, units)}`,
    n.woodMcPct !== undefined && `wood ${percent(n.woodMcPct, 1)} (${n.woodMeasured === 1 ? 'measured' : 'estimated'})`,
    n.woodRisePoints !== undefined && `up ${n.woodRisePoints.toFixed(1)} points in ${n.woodRiseDays ?? 30} days`,
    n.vaporExcessPa !== undefined && `${n.vaporExcessPa.toFixed(0)} Pa over outdoors`,
    n.moldIndex !== undefined && `model index ${n.moldIndex.toFixed(1)}`,
    n.condensingHoursPerDay !== undefined && `condensing ${n.condensingHoursPerDay.toFixed(0)} h a day`,
    n.rainMm !== undefined &&
      (units === 'us' ? `rain ${inchesFromMm(n.rainMm).toFixed(1)} in` : `rain ${n.rainMm.toFixed(0)} mm`),
    n.silentHours !== undefined && `silent for ${n.silentHours.toFixed(0)} h`,
    n.batteryV !== undefined && `battery ${n.batteryV.toFixed(2)} V`,
  ].filter((part) => part !== false)
  return parts.length === 0 ? '' : `Numbers: ${parts.join('; ')}.`
}
