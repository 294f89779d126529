import { defineConfig } from 'vitest/config';

// `npm test` runs everything here with Node and npm alone. What needs Debian packages (test/ci/, test/browser/) is run by
// .ci/run, what takes longer than CI allows by `npm run proof`; each has a config beside it.
export default defineConfig({
  test: {
    include: ['test/**/*.test.ts'],
    exclude: ['test/ci/**', 'test/browser/**', 'test/proof/**', 'node_modules/**'],
    testTimeout: 120_000,
    pool: 'forks',
  },
});
