/** Something that is sent and may be refused, with what came of it. */
import { useState } from 'preact/hooks'
import type { ErrorAnswer } from '../../server/http/contract/error.ts'
import { Trouble } from './api.ts'
import { type Faults, faultsOf } from './faults.ts'

export interface Acting {
  busy: boolean
  /** At its field. */
  faults: Faults
  /** What has no field here. */
  trouble: ErrorAnswer | null
  /** What was done; empty before. */
  said: string
  /** @returns whether it was done */
  run(act: () => Promise<string>): Promise<boolean>
}

/**
 * Something that is sent and may be refused, the refusal told where it belongs.
 * @param fields paths of what was sent that have a field, such as /probes/0/spot
 */
export function useActing(fields: readonly string[] = []): Acting {
  const [busy, setBusy] = useState(false)
  const [refusal, setRefusal] = useState<ErrorAnswer | null>(null)
  const [said, setSaid] = useState('')
  const path = refusal?.where?.startsWith('body') ? refusal.where.slice('body'.length) : null
  const field = fields.find((one) => path === one || path?.startsWith(`${one}/`))
  return {
    busy,
    said,
    faults: faultsOf(
      refusal !== null && field !== undefined ? [{ path: field, problem: `${refusal.message} ${refusal.hint}` }] : [],
    ),
    trouble: field === undefined ? refusal : null,
    async run(act) {
      setBusy(true)
      setRefusal(null)
      setSaid('')
      try {
        setSaid(await act())
        return true
      } catch (error) {
        if (!(error instanceof Trouble)) throw error
        setRefusal(error.answer)
        return false
      } finally {
        setBusy(false)
      }
    },
  }
}
