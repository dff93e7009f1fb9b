import { useEffect, useRef, useState } from 'preact/hooks'

/** Puts a text where it can be pasted; where the browser forbids it, selects it for the keys. */
export function Copy({ text, what, all = false }: { text: string; what: string; all?: boolean }) {
  const [copied, setCopied] = useState<'no' | 'yes' | 'refused'>('no')
  const timer = useRef<ReturnType<typeof setTimeout>>()
  useEffect(() => () => clearTimeout(timer.current), [])
  async function copy(): Promise<void> {
    try {
      await navigator.clipboard.writeText(text)
      setCopied('yes')
    } catch {
      setCopied('refused')
    }
    clearTimeout(timer.current)
    timer.current = setTimeout(() => setCopied('no'), 4000)
  }
  const word = { no: all ? 'Copy all secrets' : 'Copy', yes: 'Copied', refused: 'Select and copy it by hand' }[copied]
  return (
    <button type="button" class="copy" aria-label={all ? word : `${word}: ${what}`} onClick={() => void copy()}>
      {word}
    </button>
  )
}
