/**
 * The controller's arithmetic once more, written straight from the words of its SPEC and used by nothing but tests: each axis
 * has a remainder that starts at half the ticks; each tick adds the steps; a full `ticks` is one step.
 */
export function walkSegments(
  stream: Uint8Array,
  start: readonly number[],
  visit: (tick: number, at: readonly number[], segment: number) => void,
): number[] {
  const at = [...start];
  let tick = 0;
  for (let segment = 0; segment < stream.length / 8; segment++) {
    const [ticks, , directions, ...steps] = stream.subarray(segment * 8, segment * 8 + 8) as unknown as number[];
    const remainders = [0, 0, 0, 0, 0].map(() => Math.floor(ticks! / 2));
    for (let walked = 0; walked < ticks!; walked++) {
      tick++;
      for (let axis = 0; axis < 5; axis++) {
        remainders[axis] = remainders[axis]! + steps[axis]!;
        if (remainders[axis]! >= ticks!) {
          remainders[axis] = remainders[axis]! - ticks!;
          at[axis] = at[axis]! + (directions! & (1 << axis) ? -1 : 1);
        }
      }
      visit(tick, at, segment);
    }
  }
  return at;
}

/** All batches in one piece. */
export function joined(batches: Iterable<Uint8Array>): Uint8Array {
  const parts = [...batches];
  const out = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let offset = 0;
  for (const part of parts) {
    out.set(part, offset);
    offset += part.length;
  }
  return out;
}
