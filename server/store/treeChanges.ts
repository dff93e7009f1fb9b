/** What differs between two trees of one house, by named element; and a tree with some of it put back. Pure. */
import { isDeepStrictEqual } from 'node:util'
import type { HouseTree, ProbeTree } from './houseTree.ts'
import { placementWords } from './placementWords.ts'

/** `before` or `after` is undefined where the element is not there. */
export interface TreeChange {
  /** Such as works/drain-2025, spaces/crawl, spaces/crawl/spots/low-corner, facts/roofAreaM2, name. */
  path: string
  before: unknown
  after: unknown
}

const PLAIN = ['name', 'invented', 'place', 'timeZone', 'latitude', 'longitude', 'elevationM'] as const
const GROUPS = ['safety', 'facts'] as const
const KEYED = ['loggers', 'stations', 'works'] as const
const UNKEYED = ['corrections', 'events', 'surveys', 'photos'] as const

type Elements = Map<string, unknown>

/** Every element of a tree by its path, in the order of the tree. */
function elementsOf(tree: HouseTree): Elements {
  const elements: Elements = new Map()
  for (const name of PLAIN) if (tree[name] !== undefined) elements.set(name, tree[name])
  for (const group of GROUPS) {
    for (const [name, value] of Object.entries(tree[group] ?? {})) elements.set(`${group}/${name}`, value)
  }
  for (const { spots, ...space } of tree.spaces) {
    elements.set(`spaces/${space.key}`, space)
    for (const spot of spots) elements.set(`spaces/${space.key}/spots/${spot.key}`, spot)
  }
  for (const list of KEYED) for (const one of tree[list] ?? []) elements.set(`${list}/${one.key}`, one)
  for (const list of UNKEYED) {
    for (const one of tree[list] ?? []) {
      // Without a key an element is named by what it says first; two alike are told apart by a count.
      const name = `${list}/${nameOf(one)}`
      let path = name
      for (let n = 2; elements.has(path); n++) path = `${name} (${n})`
      elements.set(path, one)
    }
  }
  return elements
}

type Unkeyed = Partial<Record<'kind' | 'probe' | 'quantity' | 'from' | 'at' | 'hash', string>>

const nameOf = (one: Unkeyed): string =>
  [one.kind, one.probe, one.quantity, one.from ?? one.at, one.hash?.slice(0, 12)]
    .filter((part) => part !== undefined)
    .join(' ')
    .replaceAll('/', ':')

export function treeChanges(before: HouseTree, after: HouseTree): TreeChange[] {
  const [old, now] = [elementsOf(before), elementsOf(after)]
  const changes: TreeChange[] = []
  for (const [path, value] of old) {
    if (!isDeepStrictEqual(value, now.get(path))) changes.push({ path, before: value, after: now.get(path) })
  }
  for (const [path, value] of now) if (!old.has(path)) changes.push({ path, before: undefined, after: value })
  return changes
}

/** Paths whose present value is no longer what the changes made of it: putting them back would undo somebody else's work. */
export function changedSince(tree: HouseTree, changes: readonly TreeChange[]): string[] {
  const now = elementsOf(tree)
  return changes.flatMap(({ path, after }) => (isDeepStrictEqual(now.get(path), after) ? [] : [path]))
}

/** The tree as it was before the changes; an element that comes back stands at the end of its list. */
export function putBack(tree: HouseTree, changes: readonly TreeChange[]): HouseTree {
  const elements = elementsOf(tree)
  // A space comes back before its spots.
  for (const { path, before } of [...changes].sort((a, b) => a.path.length - b.path.length)) {
    if (before === undefined) elements.delete(path)
    else elements.set(path, before)
  }
  return treeOf(tree, elements)
}

function treeOf({ format, key }: HouseTree, elements: Elements): HouseTree {
  const of = (start: string) =>
    [...elements].flatMap(([path, value]) =>
      path.startsWith(`${start}/`) ? [{ rest: path.slice(start.length + 1), value }] : [],
    )
  const group = (name: string) => {
    const own = of(name)
    return own.length === 0 ? undefined : Object.fromEntries(own.map(({ rest, value }) => [rest, value]))
  }
  const list = (name: string) => {
    const own = of(name).filter(({ rest }) => !rest.includes('/spots/'))
    return own.length === 0 ? undefined : own.map(({ value }) => value)
  }
  const spaces = (list('spaces') ?? []) as HouseTree['spaces']
  const tree = {
    format,
    key,
    ...Object.fromEntries(PLAIN.map((name) => [name, elements.get(name)])),
    ...Object.fromEntries(GROUPS.map((name) => [name, group(name)])),
    spaces: spaces.map((space) => ({ ...space, spots: of(`spaces/${space.key}/spots`).map(({ value }) => value) })),
    ...Object.fromEntries([...KEYED, ...UNKEYED].map((name) => [name, list(name)])),
  }
  return Object.fromEntries(Object.entries(tree).filter(([, value]) => value !== undefined)) as unknown as HouseTree
}

/** "works / drain-2025: added", for people. */
export function changeWords({ path, before, after }: TreeChange): string {
  const what = path.replaceAll('/', ' / ')
  if (before === undefined) return `${what}: added${valueWords(after)}`
  if (after === undefined) return `${what}: removed`
  if (typeof before !== 'object' && typeof after !== 'object') return `${what}: ${before} → ${after}`
  const [old, now] = [before as Record<string, unknown>, after as Record<string, unknown>]
  const names = [...new Set([...Object.keys(old), ...Object.keys(now)])].filter(
    (name) => !isDeepStrictEqual(old[name], now[name]),
  )
  return `${what}: ${names.flatMap((name) => fieldWords(name, old[name], now[name])).join(', ')}`
}

function fieldWords(name: string, old: unknown, now: unknown): string[] {
  if (name === 'probes') {
    const hung = placementWords(old as ProbeTree[], now as ProbeTree[])
    if (hung.length > 0) return hung
  }
  return [`${name} ${shortly(old)} → ${shortly(now)}`]
}

const valueWords = (value: unknown): string => (typeof value === 'object' ? '' : `, ${value}`)
const shortly = (value: unknown): string => {
  if (value === undefined) return 'not recorded'
  const text = typeof value === 'object' ? JSON.stringify(value) : String(value)
  return text.length > 60 ? `${text.slice(0, 57)}...` : text
}
