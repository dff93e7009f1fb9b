/** What the owner of a house sees, shown to the firm, and what the page names the firm by. */
import { useState } from 'preact/hooks'
import { useCaller } from '../base/caller.ts'
import { Link } from '../base/router.tsx'
import { FirmPart } from './firm.tsx'
import { OwnersHouse } from './house.tsx'

export default function OwnerLookPage({ houseKey }: { houseKey: string }) {
  const { caller } = useCaller()
  const [turn, setTurn] = useState(0)
  return (
    <>
      <OwnersHouse houseKey={houseKey} turn={turn}>
        <p class="owner-look small">
          This is what the owner sees. The buttons are theirs; you acknowledge on the page of{' '}
          <Link to={`/houses/${houseKey}`}>the house</Link>.
        </p>
      </OwnersHouse>
      {caller.role === 'contractor' && <FirmPart onStored={() => setTurn((n) => n + 1)} />}
    </>
  )
}
