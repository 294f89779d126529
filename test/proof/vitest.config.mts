import { defineConfig } from 'vitest/config';

// What takes longer than CI allows. Run by `npm run proof`; results are kept in test/PROOF.md.
export default defineConfig({
  test: {
    include: ['test/proof/**/*.proof.ts'],
    testTimeout: 7_200_000,
    hookTimeout: 600_000,
    pool: 'forks',
    // Two cores: one proof at a time, so that its figures mean something.
    fileParallelism: false,
  },
});
