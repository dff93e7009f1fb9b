import { defineConfig } from 'vitest/config'

const common = { testTimeout: 60_000, hookTimeout: 60_000, pool: 'forks' as const }

export default defineConfig({
  test: {
    maxWorkers: 2, // the smallest machine has two cores
    projects: [
      {
        test: {
          ...common,
          name: 'node',
          include: ['tests/**/*.test.ts'],
          exclude: ['tests/long/**', 'tests/engines/**', 'tests/browser/**'],
        },
      },
      {
        test: {
          ...common,
          name: 'browser',
          include: ['tests/browser/**/*.test.ts'],
          globalSetup: ['tests/browser/setup.ts'],
          testTimeout: 120_000,
        },
      },
    ],
  },
})
