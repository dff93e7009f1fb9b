/** `npm run docs`: writes the parts of DEVELOPERS.md and README.md that are made from the code. */
import { writeFileSync } from 'node:fs'
import { DOCUMENTS, withGeneratedParts } from './generated.ts'

for (const path of Object.keys(DOCUMENTS)) writeFileSync(path, withGeneratedParts(path))
