/**
 * Finds the repeats in a program again. Reading unrolls repeats and alternations into stints; each keeps in `group` which written
 * stint it came from, and that is enough to write the list as short as a person did.
 */
import type { Stint } from './types';

export type Folded = { kind: 'stint'; stint: Stint } | { kind: 'repeat'; times: number; steps: Folded[] };

/**
 * A list of stints and repeats that unrolls to exactly these stints, with their groups up to numbering. Of programs that were read
 * nothing is lost. Groups that come from no list of repeats (made by hand) are taken apart into single stints, and so geared apart.
 */
export function foldStints(stints: readonly Stint[]): Folded[] {
  const keys = stints.map(({ line: _, ...rest }) => JSON.stringify(rest));
  return fold(stints, keys, 0, stints.length);
}

function fold(stints: readonly Stint[], keys: readonly string[], from: number, to: number): Folded[] {
  const last = new Map<number, number>();
  for (let i = from; i < to; i++) last.set(stints[i]!.group, i);
  const steps: Folded[] = [];
  let at = from;
  while (at < to) {
    let end = at;
    for (let i = at; i <= end; i++) end = Math.max(end, last.get(stints[i]!.group)!);
    const times = end === at ? 1 : mostEqualParts(keys, at, end + 1);
    if (times > 1) {
      steps.push({ kind: 'repeat', times, steps: fold(stints, keys, at, at + (end + 1 - at) / times) });
    } else for (let i = at; i <= end; i++) steps.push({ kind: 'stint', stint: stints[i]! });
    at = end + 1;
  }
  return steps;
}

/** Into how many equal parts the keys of a stretch fall at most; 1 if into none. */
function mostEqualParts(keys: readonly string[], from: number, to: number): number {
  const size = to - from;
  for (let part = 1; part <= size / 2; part++) {
    if (size % part !== 0) continue;
    let equal = true;
    for (let i = from + part; equal && i < to; i++) equal = keys[i] === keys[i - part];
    if (equal) return size / part;
  }
  return 1;
}
