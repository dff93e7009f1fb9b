/** Sizing: the calculations by themselves, for a house that has no readings yet. */
import '../enter/enter.css'
import { DehumidifierForm } from './dehumidifier.tsx'
import { DrainForm } from './drain.tsx'
import './sizing.css'

export default function SizingPage() {
  return (
    <>
      <h1 tabIndex={-1}>Sizing</h1>
      <p>
        Plain calculations for a house that has no readings yet. Once a house has been measured, its own page answers
        from its readings, with intervals.
      </p>
      <DehumidifierForm />
      <DrainForm />
    </>
  )
}
