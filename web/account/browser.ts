/** What a browser calls itself, in the few words by which its owner knows it again. */

// In this order: every one of the earlier also calls itself the later.
const BROWSERS = [
  [/\bEdgA?\//, 'Edge'],
  [/\b(?:OPR|Opera)\//, 'Opera'],
  [/\bFirefox\/|\bFxiOS\//, 'Firefox'],
  [/\bCriOS\/|\bHeadlessChrome\/|\bChrome\//, 'Chrome'],
  [/\bSafari\//, 'Safari'],
] as const
const SYSTEMS = [
  [/\biPhone\b/, 'an iPhone'],
  [/\biPad\b/, 'an iPad'],
  [/\bAndroid\b/, 'Android'],
  [/\bWindows\b/, 'Windows'],
  [/\bMac OS X\b|\bMacintosh\b/, 'a Mac'],
  [/\bCrOS\b/, 'ChromeOS'],
  [/\bLinux\b/, 'Linux'],
] as const

const first = (words: readonly (readonly [RegExp, string])[], agent: string) =>
  words.find(([pattern]) => pattern.test(agent))?.[1]

/** "Firefox on Windows"; what is not known is told as it came. */
export function browserWords(agent: string): string {
  const [browser, system] = [first(BROWSERS, agent), first(SYSTEMS, agent)]
  if (browser === undefined || system === undefined)
    return agent === '' ? 'a program without a name' : agent.slice(0, 60)
  return `${browser} on ${system}`
}
