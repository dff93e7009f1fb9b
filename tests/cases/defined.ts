/** Leaves out what is undefined or null. */
export function defined<T extends object>(value: T): { [K in keyof T]?: NonNullable<T[K]> } {
  return Object.fromEntries(Object.entries(value).filter(([, v]) => v !== undefined && v !== null)) as never
}
