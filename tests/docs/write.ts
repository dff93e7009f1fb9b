/** `npm run docs`: writes the parts of DEVELOPERS.md that are made from the code. */
import { writeFileSync } from 'node:fs'
import { DEVELOPERS, developersWithGeneratedParts } from './generated.ts'

writeFileSync(DEVELOPERS, developersWithGeneratedParts())
