/** What stands behind "#" in an address that was handed over. No server and no log gets to see it; nor does who looks on. */
import { useEffect, useState } from 'preact/hooks'

/** Takes it out of the address bar and the history of the browser. */
function taken(): string {
  const secret = location.hash.slice(1)
  if (secret !== '') history.replaceState(null, '', location.pathname + location.search)
  return secret
}

/** Empty where there is none. */
export function useSecret(): string {
  const [secret, setSecret] = useState(taken)
  useEffect(() => {
    const another = () => {
      const next = taken()
      if (next !== '') setSecret(next)
    }
    addEventListener('hashchange', another)
    return () => removeEventListener('hashchange', another)
  }, [])
  return secret
}
