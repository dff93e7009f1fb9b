import { defineConfig } from 'vitest/config'

/** Tests that take minutes: kills in the middle of large imports. Run by `npm run test:long` and by CI. */
export default defineConfig({
  test: { include: ['tests/long/**/*.test.ts'], testTimeout: 30 * 60_000, pool: 'forks', fileParallelism: false },
})
