/** Colors and type of a canvas chart, read from the page's own tokens, so that dark scheme and print follow. */
export interface ChartTheme {
  sheet: string
  ink: string
  ink2: string
  line: string
  hair: string
  soil: string
  water: string
  water2: string
  water3: string
  bar: string
  rust: string
  rust2: string
  font: string
}

export function chartTheme(root: Element = document.documentElement): ChartTheme {
  const style = getComputedStyle(root)
  const token = (name: string) => style.getPropertyValue(`--${name}`).trim()
  return {
    sheet: token('sheet'),
    ink: token('ink'),
    ink2: token('ink2'),
    line: token('line'),
    hair: token('hair'),
    soil: token('soil'),
    water: token('water'),
    water2: token('water2'),
    water3: token('water3'),
    bar: token('bar'),
    rust: token('rust'),
    rust2: token('rust2'),
    font: getComputedStyle(document.body).fontFamily,
  }
}
