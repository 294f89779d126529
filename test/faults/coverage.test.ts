/** The campaign covers its list: every kind is drawn, and drawn often. */
import { expect, test } from 'vitest';
import { drawCase, incidentsOf } from './case';
import { COVERAGE, missingOf } from './coverage';
import { plannedProgram } from './world';

const CASES = 500;

function drawn(seed: number): string[] {
  return Array.from({ length: CASES }, (_, number) => drawCase(seed, number)).flatMap(({ program, incidents }) =>
    incidentsOf(incidents(), plannedProgram(program)).map(({ name }) => name),
  );
}

test.each([1, 2, 3, 20_261_125, 4_000_000_000])(
  `${CASES} cases of seed %i draw everything of the list a few times`,
  (seed) => {
    expect(missingOf(drawn(seed), 3)).toEqual([]);
  },
);

test('nothing is drawn that the list does not name', () => {
  expect(drawn(7).filter((name) => !COVERAGE.some(({ shown }) => shown.test(name)))).toEqual([]);
});

test('a kind that is never drawn would be missed', () => {
  expect(missingOf(['halt', 'halt', 'guard'], 2)).toContain('guard: 1 times');
  expect(missingOf([], 1)).toHaveLength(COVERAGE.length);
});
