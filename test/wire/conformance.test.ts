import { describe, it } from 'vitest';
import { CASES } from './conformance';
import { virtualPort } from './conformance/virtual-port';

describe.each([1, 2, 3, 4, 5, 6, 7])('SPEC section %i on the virtual board', (section) => {
  for (const { rule, run } of CASES.filter((one) => one.section === section)) {
    it(rule, () => run(virtualPort()));
  }
});
