/** What the words of a header mean, in the languages of the trade's loggers and weather services. Generic words only. */
import type { ColumnQuantity, ColumnRole } from './understanding.ts'

/** Lower case, accents off, so that one spelling serves (`Feuchte`, `humidité`, `Lämpötila`). */
export const plainWord = (text: string): string =>
  text
    .normalize('NFD')
    .replaceAll(/[\u0300-\u036f]/g, '')
    .toLowerCase()

/** Words of a header: split at blanks, punctuation, and where a capital or a digit begins. */
export function wordsOf(name: string): string[] {
  return plainWord(
    name
      .replace(/^\s*#?\s*\d+\s*:\s*/, '')
      .replaceAll(/([a-z])([A-Z])/g, '$1 $2')
      .replaceAll(/([A-Za-z])(\d)/g, '$1 $2'),
  )
    .split(/[^a-z0-9%°+]+/)
    .filter(Boolean)
}

/** Beginnings of words, by what they mean; the first rule that matches wins, so the narrower ones stand first. */
interface WordRule {
  quantity: ColumnQuantity
  /** All of these groups must be met; each is a set of beginnings of which one suffices (`=word` is the whole word). */
  all: readonly (readonly string[])[]
}

const TEMPERATURE = ['temp', '=t', '=ta', 'lampotila', '=tmp', 'bulb']
const HUMIDITY = [
  'humid',
  'hum',
  '=rh',
  '=hr',
  '=rf',
  '=rlf',
  '=ur',
  'feucht',
  'luftfeucht',
  'umid',
  'vocht',
  'kosteus',
  'luchtvocht',
  'hygro',
  'humed',
  'rhum',
  'suhteellinen',
]
const WOOD = ['wood', 'holz', 'bois', 'madera', 'legno', 'hout', 'puu', 'joist', 'timber', 'lumber']

const RULES: readonly WordRule[] = [
  {
    quantity: 'dewPointC',
    all: [
      [
        'dew',
        '=dewp',
        'taupunkt',
        'rosee',
        'rocio',
        'rugiada',
        'dauwpunt',
        'kastepiste',
        '=dp',
        '=td',
        'tdew',
        'dewpoint',
      ],
    ],
  },
  {
    quantity: 'vaporPressurePa',
    all: [
      ['vapor', 'vapour', 'dampf', 'vapeur', 'dampdruk'],
      ['press', 'druck', 'presion', 'druk', 'paine'],
    ],
  },
  { quantity: 'surfaceTempC', all: [['surface', 'oberflach', 'superficie', 'oppervlak', 'pinta'], TEMPERATURE] },
  { quantity: 'surfaceTempC', all: [['oberflachentemp', 'pintalampotila']] },
  { quantity: 'woodMcPct', all: [['holzfeucht', 'puunkosteus', 'houtvocht', '=wme', '=wmc', 'woodmc', 'woodmoist']] },
  { quantity: 'woodMcPct', all: [WOOD, [...HUMIDITY, 'moist', '=mc', '=emc', 'content']] },
  { quantity: 'woodMcPct', all: [['moisture'], ['content', '=mc']] },
  { quantity: 'condensateL', all: [['condensate', 'kondensat', 'condensat', 'condensado', 'condensa', 'kondenssi']] },
  {
    quantity: 'waterPresent',
    all: [
      ['leak', 'flood', 'leck', 'fuite', 'fuga', 'perdita', 'lek', 'vuoto', 'waterpresent', 'wetness', 'standingwater'],
    ],
  },
  {
    quantity: 'waterPresent',
    all: [
      ['water', 'wasser'],
      ['present', 'sensor', 'alarm', 'detect', 'melder', 'contact'],
    ],
  },
  {
    quantity: 'rainMm',
    all: [
      [
        'rain',
        'precip',
        '=prcp',
        'lprecip',
        'niederschlag',
        'regen',
        'pluie',
        'lluvia',
        'pioggia',
        'neerslag',
        'sade',
        'sadanta',
        'precipit',
      ],
    ],
  },
  { quantity: 'batteryV', all: [['batt', 'akku', 'batter', 'pile', 'bateria', 'paristo', '=vbat']] },
  { quantity: 'powerW', all: [['power', 'watt', 'leistung', 'puissance', 'potencia', 'potenza', 'vermogen', '=teho']] },
  { quantity: 'rhPct', all: [HUMIDITY] },
  { quantity: 'tempC', all: [[...TEMPERATURE, '=te', '=ti']] },
]

/** Words that say a column is about something else, however its other words look. */
const OTHER_THINGS = [
  'flag',
  'source',
  'uncert',
  'uncertainty',
  'quality',
  'qc',
  'code',
  'wind',
  'press',
  'druck',
  'ratio',
  'absolute',
  'absolut',
  'absoluut',
  'wet',
  'wetbulb',
  'duration',
  '=dur',
  'snow',
  'illum',
  'solar',
  'visib',
  '=hmdx',
  'chill',
  'daily',
  'monthly',
  'normals',
  'departure',
  'average',
  'short',
  'quantity',
  'index',
  'setpoint',
  'target',
  'limit',
  'level',
  'mixing',
  'enthalpy',
  'specific',
  'spezifisch',
  'altimeter',
  'type',
  'change',
  'count',
  'probability',
  'forecast',
]

const starts = (word: string, beginnings: readonly string[]): boolean =>
  beginnings.some((b) => (b.startsWith('=') ? word === b.slice(1) : word.startsWith(b)))

/** The quantity a header speaks of, and which of its words said so. */
export function quantityNamed(name: string): { quantity: ColumnQuantity; used: string[] } | null {
  const words = wordsOf(name)
  for (const { quantity, all } of RULES) {
    const used = words.filter((word) => all.some((group) => starts(word, group)))
    if (!all.every((group) => words.some((word) => starts(word, group)))) continue
    const other = words.some((word) => starts(word, OTHER_THINGS) && !used.includes(word))
    // `..._q` and `..._j` are the quality marks of weather services.
    return other || /[_ ][qj]$/i.test(name) ? null : { quantity, used }
  }
  // `RHe`, `T9`, `Te`: a short name with a letter or number for the place behind it.
  const short = /^(rh|t)_?(\d{1,3}|[a-z])$/i.exec(name.trim())
  if (short) return { quantity: short[1]!.toLowerCase() === 'rh' ? 'rhPct' : 'tempC', used: [short[1]!.toLowerCase()] }
  return null
}

const TIME_WORDS: readonly [ColumnRole, readonly string[]][] = [
  ['year', ['=year', '=jahr', '=annee', '=ano', '=anno', '=jaar', '=vuosi', '=yyyy', '=yr']],
  ['month', ['=month', '=monat', '=mois', '=mes', '=mese', '=maand', '=kuukausi', '=mo']],
  ['day', ['=day', '=tag', '=jour', '=dia', '=giorno', '=dag', '=paiva']],
  ['hour', ['=hour', '=stunde', '=heure', '=hora', '=ora', '=uur', '=tunti', '=hr', '=hh']],
  ['minute', ['=minute', '=min', '=minuto', '=minuut', '=minuutti']],
  ['second', ['=second', '=sekunde', '=seconde', '=segundo', '=secondo', '=sekunti']],
  ['offset', ['offset', '=tz', 'timezone', 'utcoffset', 'zeitzone']],
]

/** A time part a header names with a single word; null otherwise. */
export function timePartNamed(name: string): ColumnRole | null {
  const words = wordsOf(name).filter((word) => word !== 'utc' && word !== 'local')
  if (words.length !== 1) return wordsOf(name).join('') === 'utcoffset' ? 'offset' : null
  return TIME_WORDS.find(([, beginnings]) => starts(words[0]!, beginnings))?.[0] ?? null
}

const PROBE_WORDS = [
  'sensor',
  'probe',
  'logger',
  'device',
  'node',
  'station',
  'site',
  'location',
  'origin',
  'channel',
  'serial',
  'place',
  'room',
  'fuhler',
  'messstelle',
  'gerat',
  'raum',
  'capteur',
  'lieu',
  'sonda',
  'lugar',
  'sonde',
  'luogo',
  'locatie',
  'anturi',
  'paikka',
  'spot',
]
const KIND_WORDS = ['kind', 'type', 'art', 'typ', 'tipo', 'soort', 'tyyppi']

export const namesProbe = (name: string): boolean => {
  const words = wordsOf(name)
  return words.some((word) => starts(word, PROBE_WORDS)) && !words.some((word) => starts(word, OTHER_THINGS))
}
export const namesKind = (name: string): boolean =>
  wordsOf(name).some((word) =>
    starts(
      word,
      KIND_WORDS.map((w) => `=${w}`),
    ),
  )
export const namesSequence = (name: string): boolean =>
  wordsOf(name).some((word) =>
    starts(word, [
      '=no',
      '=nr',
      '=id',
      'index',
      'record',
      'reading',
      'entry',
      'row',
      'seq',
      '=num',
      'number',
      'lfd',
      'count',
    ]),
  )

/** `UTC`, `GMT-5`, `UTC+02:00` in a text; null where none is named. A bare mention is UTC itself. */
export function zoneNamed(text: string): string | null {
  const match = /(?:^|[^a-z])(utc|gmt)\s*(?:([+\u2212-])\s*(\d{1,2})(?::?(\d\d))?)?(?![a-z])/i.exec(text)
  if (!match) return null
  if (!match[2]) return 'UTC'
  const hours = Number(match[3])
  if (hours > 14) return null
  const sign = match[2] === '+' ? '+' : '-'
  return hours === 0 && !match[4] ? 'UTC' : `${sign}${String(hours).padStart(2, '0')}:${match[4] ?? '00'}`
}
