/** Names of fields that are none of ours, and what to send instead. A wrong unit is worse than no value: none is guessed. */
import { printable, refusal } from './json.ts'
import type { MessageRefusal } from './message.ts'

const TEMP = 'tempC, degrees Celsius'
const RH = 'rhPct, relative humidity in percent (0 to 100)'
const WOOD = 'woodMcPct, percent of the dry mass'
const SURFACE = 'surfaceTempC, degrees Celsius'
const RAIN = 'rainMm, millimeters since the reading before'
const WATER = 'waterPresent, 0 or 1'
const POWER = 'powerW, watts'
const CONDENSATE = 'condensateL, liters since the reading before'
const BATTERY = 'batteryV, volts'
const TIME = 'at (with its zone), atS (seconds since 1970, UTC) or ageS (seconds before it is sent)'

/** In small letters. */
const MEANT: Record<string, string> = {
  t: TEMP,
  temp: TEMP,
  tempf: TEMP,
  temp_c: TEMP,
  temp_f: TEMP,
  temperature: TEMP,
  temperaturec: TEMP,
  temperaturef: TEMP,
  h: RH,
  hum: RH,
  humidity: RH,
  humiditypct: RH,
  rh: RH,
  rh_pct: RH,
  moisture: WOOD,
  wood: WOOD,
  woodmc: WOOD,
  woodpct: WOOD,
  wme: WOOD,
  surfacetemp: SURFACE,
  surfacetempf: SURFACE,
  rain: RAIN,
  rainin: RAIN,
  raininches: RAIN,
  leak: WATER,
  water: WATER,
  wet: WATER,
  power: POWER,
  powerkw: POWER,
  watts: POWER,
  condensate: CONDENSATE,
  condensateml: CONDENSATE,
  condensatepints: CONDENSATE,
  bat: BATTERY,
  batt: BATTERY,
  battery: BATTERY,
  batterymv: BATTERY,
  batterypct: BATTERY,
  vbat: BATTERY,
  voltage: BATTERY,
  rssi: 'signalDbm, dBm',
  signal: 'signalDbm, dBm',
  age: TIME,
  date: TIME,
  time: TIME,
  timestamp: TIME,
  ts: TIME,
}

/** Why a name cannot be taken. @param place what stands before the name: `readings[3].` */
export function strangeName(name: string, known: readonly string[], place: string): MessageRefusal {
  const small = name.toLowerCase()
  const problem = `${place}${printable(name)} is not a field known here.`
  if (Object.hasOwn(MEANT, small)) return refusal('wrong unit', problem, `Send ${MEANT[small]}.`)
  const otherCase = known.find((one) => one.toLowerCase() === small)
  if (otherCase !== undefined) return refusal('malformed', problem, `Write it ${otherCase}.`)
  return refusal('malformed', problem, `Known here are ${known.join(', ')}. Leave it out or correct its spelling.`)
}
