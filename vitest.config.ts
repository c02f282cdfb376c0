import { defineConfig } from 'vitest/config'

export default defineConfig({
  test: {
    projects: [
      {
        test: {
          name: 'unit',
          include: ['packages/{calc,ledger,sdk,simulator}/src/**/*.test.ts', 'packages/sdk/*.test.ts'],
        },
      },
      {
        test: {
          name: 'service',
          include: ['packages/service/src/**/*.test.ts'],
          globalSetup: ['tests/setup/postgres.ts'],
          testTimeout: 30_000,
          hookTimeout: 60_000,
        },
      },
      {
        test: {
          name: 'product',
          include: ['tests/**/*.test.ts'],
          globalSetup: ['tests/setup/postgres.ts'],
          testTimeout: 60_000,
          hookTimeout: 60_000,
        },
      },
    ],
  },
})
