/**
 * Houses of the public TRH-database (CC BY 4.0) with readings of a cold roof or a wall cavity, as house trees. No open
 * record of a crawl space is known: so each is also taken for a vented one, to see what its watches say to real air.
 */
import { existsSync } from 'node:fs'
import { join } from 'node:path'
import type { HouseTree } from '../../server/store/houseTree.ts'

export interface RealHouse {
  tree: HouseTree
  /** Where the readings of each logger are. */
  files: { logger: string; path: string }[]
}

interface Described {
  key: string
  name: string
  folder: string
  role: 'attic' | 'wall'
  spots: string[]
  outdoor: string
  /** Before it the loggers lay elsewhere. */
  from: string
}

const HOUSES: readonly Described[] = [
  {
    key: 'r1-wall',
    name: 'R1, wall with a vented cavity',
    folder: 'indoor/house-r1-wall-10min',
    role: 'wall',
    spots: ['cavity', 'insulation_windbarrier_mid', 'stud_top_right', 'sole_plate_left', 'sole_plate_right'],
    outdoor: 'outdoor',
    from: '2020-12-19T16:00',
  },
  {
    key: 'r2-attic',
    name: 'R2, vented attic',
    folder: 'indoor/house-r2-attic-1h',
    role: 'attic',
    spots: ['roofmiddle_airmiddle', 'roofmiddle_insulationtop', 'roofwest_infrontofeave'],
    outdoor: 'fmi',
    from: '2010-11-15',
  },
  {
    key: 'r5-attic',
    name: 'R5, vented attic',
    folder: 'indoor/house-r5-attic-1h',
    role: 'attic',
    spots: [
      'roofmiddle_airtop',
      'roofmiddle_topofcardboard',
      'roofmiddle_bottomofcardboard',
      'roofnorth_eavesbottom',
      'roofsouth_eavestop',
      'roofsouth_topofunderlay',
    ],
    outdoor: 'fmi',
    from: '2010-11-15',
  },
]
/** What is part of a wall, not air behind it, is no crawl space. */
const AIR_OF_WALL = ['cavity']

/** Those whose files are in the folder of the data. */
export const realHouses = (data: string): RealHouse[] =>
  HOUSES.filter(({ folder }) => existsSync(join(data, folder))).flatMap((house) => [
    asEntered(data, house),
    asEntered(data, {
      ...house,
      key: `${house.key}-as-crawl`,
      name: `${house.name}, taken for a crawl space`,
      role: 'crawl space',
      spots: house.role === 'wall' ? AIR_OF_WALL : house.spots,
    }),
  ])

function asEntered(
  data: string,
  {
    key,
    name,
    folder,
    role,
    spots,
    outdoor,
    from,
  }: Omit<Described, 'role'> & { role: Described['role'] | 'crawl space' },
): RealHouse {
  const logger = (file: string, spot: string) => ({
    key: `${key}-${file}`,
    probes: [{ key: 'air', placements: [{ spot, from }] }],
  })
  const path = (file: string) => join(data, folder, `${file}.csv.gz`)
  const all = [...spots, outdoor]
  return {
    tree: {
      format: 'underjoist house 1',
      key,
      name,
      // The loggers' clocks stayed at UTC+2 all year.
      timeZone: 'Etc/GMT-2',
      spaces: [
        { key: 'space', name: 'Space', role, kind: 'vented', spots: spots.map((spot) => ({ key: spot, name: spot })) },
        { key: 'out', name: 'Outdoors', role: 'outdoor', spots: [{ key: 'station', name: 'Weather station' }] },
      ],
      loggers: [...spots.map((spot) => logger(spot, `space/${spot}`)), logger(outdoor, 'out/station')],
    },
    files: all.map((file) => ({ logger: `${key}-${file}`, path: path(file) })),
  }
}
