/** Segments made by hand or at random, and what they do to the axes. */
import type { StreamPlace } from '../../firmware-host/stand/stand-link';
import { seeded } from './random';

/** One segment as its eight bytes; negative steps set the direction bit. */
export function segment(ticks: number, steps: readonly number[], rest = false): Uint8Array {
  const bytes = new Uint8Array(8);
  bytes[0] = ticks;
  bytes[1] = rest ? 1 : 0;
  steps.forEach((count, axis) => {
    if (count < 0) bytes[2]! |= 1 << axis;
    bytes[3 + axis] = Math.abs(count);
  });
  return bytes;
}

/** A dwell that ends in a planned rest: what a walk must end with, or it is left a tick short of its end by the easing law. */
export const REST = segment(20, [], true);

export function concat(parts: readonly Uint8Array[]): Uint8Array {
  const all = new Uint8Array(parts.reduce((length, part) => length + part.length, 0));
  let at = 0;
  for (const part of parts) {
    all.set(part, at);
    at += part.length;
  }
  return all;
}

/** How far a slide may wander from where it starts, steps. */
const REACH = 3000;

/**
 * `count` segments that keep every rule of the SPEC but obey no planner: speeds jump, directions change wherever they may. The
 * last is a planned rest.
 */
export function randomWalk(seed: number, count: number, axes = 5): Uint8Array {
  const random = seeded(seed);
  const upTo = (most: number): number => Math.floor(random() * (most + 1));
  const sense = Array.from({ length: axes }, () => 1);
  const at = Array.from({ length: axes }, () => 0);
  let mayTurn = Array.from({ length: axes }, () => true);
  const parts: Uint8Array[] = [];
  while (parts.length < count) {
    const ticks = 20 + upTo(235);
    const slow = random() < 0.3;
    const steps = at.map((place, axis) => {
      const outward = place * sense[axis]! > REACH / 2;
      const turn = mayTurn[axis]! && (outward || random() < 0.2);
      if (turn) sense[axis] = -sense[axis]!;
      const most = turn || slow ? ticks >> 2 : outward ? Math.min(8, ticks >> 1) : ticks >> 1;
      return upTo(most) * sense[axis]!;
    });
    mayTurn = steps.map((some) => 4 * Math.abs(some) <= ticks);
    steps.forEach((some, axis) => {
      at[axis]! += some;
    });
    const bytes = segment(ticks, steps);
    for (let axis = 0; axis < axes; axis++) if (sense[axis]! < 0) bytes[2]! |= 1 << axis;
    parts.push(bytes);
  }
  const settle = segment(255, []);
  settle[2] = parts.at(-1)![2]!;
  const rest = REST.slice();
  rest[2] = settle[2]!;
  return concat([...parts, settle, rest]);
}

/** Steps of each axis, signed and without sign, up to a place; whole when the place is left out. */
export function stepsOf(
  segments: Uint8Array,
  place: StreamPlace = { segment: segments.length / 8 - 1, ticksLeft: 0 },
): { steps: number[]; travel: number[] } {
  const steps = [0, 0, 0, 0, 0];
  const travel = [0, 0, 0, 0, 0];
  for (let i = 0; i <= place.segment; i++) {
    const [ticks, , directions, ...counts] = segments.subarray(i * 8, i * 8 + 8);
    const walked = i === place.segment ? ticks! - place.ticksLeft : ticks!;
    counts.forEach((count, axis) => {
      const made = Math.floor((Math.floor(ticks! / 2) + count * walked) / ticks!);
      travel[axis]! += made;
      steps[axis]! += directions! & (1 << axis) ? -made : made;
    });
  }
  return { steps, travel };
}
