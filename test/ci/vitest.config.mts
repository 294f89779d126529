import { defineConfig } from 'vitest/config';

// What needs Debian packages: compilers for the controller's images, scipy, socat, a browser. `.ci/run` installs them.
export default defineConfig({
  test: {
    include: ['test/ci/**/*.test.ts', 'test/browser/**/*.test.ts'],
    globalSetup: ['test/browser/build-pages.ts'],
    testTimeout: 300_000,
    hookTimeout: 120_000,
    pool: 'forks',
    // Two cores: a browser beside an emulated chip leaves neither enough to be on time.
    fileParallelism: false,
  },
});
