/** Rules broken on purpose, one at a time in a copy of the project: each must be noticed. */
import { expect, test } from 'vitest';
import { isCaught } from '../faults/mutate';
import { MUTATIONS } from '../faults/mutations';

test.each(MUTATIONS)('broken: $rule', (mutation) => {
  expect(isCaught(mutation)).toBe(true);
});
