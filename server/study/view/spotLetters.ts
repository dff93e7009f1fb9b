/** A capital for each spot, the same in drawing, list and chart. */
import type { HouseTree } from '../../store/houseTree.ts'

/** I and O are left out: they look like figures. */
const LETTERS = [...'ABCDEFGHJKLMNPQRSTUVWXYZ']

/** By spot path, in the order of the tree: what is judged first, then outdoors and living. More than 24 get two letters. */
export function spotLetters(tree: Pick<HouseTree, 'spaces'>): Map<string, string> {
  const paths = [
    ...tree.spaces.filter(isJudged).flatMap(pathsOf),
    ...tree.spaces.filter((space) => !isJudged(space)).flatMap(pathsOf),
  ]
  return new Map(
    paths.map((path, i) => {
      const round = Math.floor(i / LETTERS.length)
      return [path, `${round === 0 ? '' : LETTERS[round - 1]}${LETTERS[i % LETTERS.length]}`]
    }),
  )
}

type Space = HouseTree['spaces'][number]
const pathsOf = ({ key, spots }: Space) => spots.map((spot) => `${key}/${spot.key}`)
export const isJudged = ({ role }: Pick<Space, 'role'>): boolean => role !== 'outdoor' && role !== 'living'
