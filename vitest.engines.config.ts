import { defineConfig } from 'vitest/config'

/** Tests against programs that npm does not bring; they fail where such a program is missing. Run by `npm run test:engines`. */
export default defineConfig({
  test: { include: ['tests/engines/**/*.test.ts'], testTimeout: 120_000, pool: 'forks', fileParallelism: false },
})
