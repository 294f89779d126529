import { defineConfig } from 'vitest/config';

/** Patience of a test with an emulated chip or a browser on two cores. */
const patience = { testTimeout: 300_000, hookTimeout: 120_000, pool: 'forks' } as const;

/** These need the machine's time to go on: beside an emulated chip on two cores they would be late. */
const IN_REAL_TIME = ['test/browser/**/*.test.ts', 'test/ci/serial-pty.test.ts'];

// What needs Debian packages: compilers for the controller's images, scipy, socat, a browser. `.ci/run` installs them.
export default defineConfig({
  test: {
    globalSetup: ['test/browser/build-pages.ts'],
    projects: [
      {
        test: {
          name: 'reckoned',
          include: ['test/ci/**/*.test.ts'],
          exclude: IN_REAL_TIME,
          ...patience,
          maxWorkers: 2,
          sequence: { groupOrder: 1 },
        },
      },
      {
        test: {
          name: 'in real time',
          include: IN_REAL_TIME,
          ...patience,
          maxWorkers: 1,
          sequence: { groupOrder: 2 },
        },
      },
    ],
  },
});
