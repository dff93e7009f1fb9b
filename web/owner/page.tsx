/** The page of an owner: their house, or one of several. */
import { useCaller } from '../base/caller.ts'
import { Link } from '../base/router.tsx'
import { OwnersHouse } from './house.tsx'

/** @param ofHouse null: the only one, or the first of several */
export default function OwnerPage({ ofHouse: wanted }: { ofHouse: string | null }) {
  const { caller } = useCaller()
  const houses = caller.houses === 'all' ? [] : caller.houses
  const house = houses.find(({ key }) => key === wanted) ?? houses[0]
  if (house === undefined) {
    return (
      <>
        <h1 tabIndex={-1}>No house yet</h1>
        <p>Your contractor has not given you a house here. Ask them to.</p>
      </>
    )
  }
  return (
    <OwnersHouse houseKey={house.key}>
      {houses.length > 1 && (
        <nav class="row" aria-label="Your other houses">
          {houses
            .filter(({ key }) => key !== house.key)
            .map(({ key, name }) => (
              <Link key={key} to={`/owner?house=${key}`}>
                {name}
              </Link>
            ))}
        </nav>
      )}
    </OwnersHouse>
  )
}
