/** `POST /api/demo-house`: 201 when it was loaded, 200 when it was there already. */
import { type Static, Type } from 'typebox'

export const DemoHouseSchema = Type.Object({ key: Type.String(), name: Type.String() })
export type DemoHouseAnswer = Static<typeof DemoHouseSchema>
