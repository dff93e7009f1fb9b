/** What to do next, and what not to bother with, side by side and equally large. */
import type { HousePage, PageRemedy } from '../../server/http/contract/page.ts'
import { Chip, DEFERS, Evidence, Holds, Section } from '../base/parts.tsx'

export function NextSection({ page: { remedies } }: { page: HousePage }) {
  if (remedies.length === 0) return null
  const todo = remedies.filter(({ done, need }) => !done && need !== 'not needed')
  const not = remedies.filter(({ done, need }) => !done && need === 'not needed')
  const done = remedies.filter((remedy) => remedy.done)
  return (
    <Section id="next" title="What next, and what not to bother with" note={DEFERS}>
      <div class="two">
        <div>
          <h3>In this order</h3>
          {todo.length === 0 ? (
            <p>Nothing more is asked for by these readings.</p>
          ) : (
            <ol class="remedies">{todo.map(asItem)}</ol>
          )}
        </div>
        <div>
          <h3>Not needed</h3>
          {not.length === 0 ? <p>Nothing is ruled out yet.</p> : <ul class="remedies">{not.map(asItem)}</ul>}
          {done.length > 0 && (
            <>
              <h3 class="remedies-done">Stands already</h3>
              <ul class="remedies">{done.map(asItem)}</ul>
            </>
          )}
        </div>
      </div>
    </Section>
  )
}

const asItem = (remedy: PageRemedy) => (
  <li key={remedy.remedy}>
    <p class="row">
      <strong>{remedy.title}</strong>
      {!remedy.done && (
        <Chip kind={remedy.need === 'needed' ? 'firm' : remedy.need === 'not needed' ? 'open' : 'unsure'}>
          {remedy.need}
        </Chip>
      )}
    </p>
    <p class="small">{remedy.sentence.replace(/^[^:]+: /, '').replace(/^./, (letter) => letter.toUpperCase())}</p>
    <Holds holds={remedy.holds} />
    <Evidence given={remedy} />
  </li>
)
