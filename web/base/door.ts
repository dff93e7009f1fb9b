/** A session can end while somebody is at work: requests that find nobody signed in wait here until somebody is again. */
import { useEffect, useState } from 'preact/hooks'

const CHANGED = 'underjoist:door'
let shut: { opened: Promise<void>; open: () => void } | null = null

/** Resolves once somebody has signed in; never, where the one who waits has turned to something else. */
export function signedInAgain(): Promise<void> {
  if (shut === null) {
    let open = () => {}
    const opened = new Promise<void>((resolve) => {
      open = resolve
    })
    shut = { opened, open }
    dispatchEvent(new Event(CHANGED))
  }
  return shut.opened
}

/** What waited goes on. */
export function openDoor(): void {
  shut?.open()
  shut = null
  dispatchEvent(new Event(CHANGED))
}

/** Whether something waits for somebody to sign in. */
export function useShut(): boolean {
  const [now, setNow] = useState(shut !== null)
  useEffect(() => {
    const changed = () => setNow(shut !== null)
    changed()
    addEventListener(CHANGED, changed)
    return () => removeEventListener(CHANGED, changed)
  }, [])
  return now
}
