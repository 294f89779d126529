import { describe, expect, it } from 'vitest';
import type { Stand } from '../../planner/stand/types';
import { checkSegments } from '../../planner/steps/checker';
import { compileSegments } from '../../planner/steps/compile';
import type { Finding, FindingKind } from '../../planner/steps/findings';
import { type AnalyticPattern, analyticLaw, analyticPath, analyticStand } from '../support/analytic-walk';
import { joined } from '../support/dda';

const pattern: AnalyticPattern = {
  turns: 2,
  strokes: 35,
  settingMm: 90,
  lengthMm: 80,
  widthMm: 16,
  nudgeMm: 8,
  lapTurnsPerTurn: 0.37,
  rests: [1],
};
const path = analyticPath(pattern);
const law = analyticLaw(path, 0, 2.5 / 60, 1.5);
const stream = joined(compileSegments(path, law, analyticStand));
const count = stream.length / 8;
const restAt = Array.from({ length: count }, (_, i) => i).find((i) => stream[i * 8 + 1] === 1)!;

function findings(
  bytes: Uint8Array,
  stand: Stand = analyticStand,
  mode: 'quick' | 'every tick' = 'quick',
): readonly Finding[] {
  return checkSegments([bytes], path, law, stand, { mode });
}

/** The stream with one byte replaced. */
function withByte(segment: number, byte: number, change: (value: number) => number): Uint8Array {
  const out = stream.slice();
  out[segment * 8 + byte] = change(out[segment * 8 + byte]!);
  return out;
}

function without(segment: number): Uint8Array {
  return joined([stream.subarray(0, segment * 8), stream.subarray((segment + 1) * 8)]);
}

function swapped(segment: number): Uint8Array {
  const out = stream.slice();
  out.copyWithin(segment * 8, (segment + 1) * 8, (segment + 2) * 8);
  out.set(stream.subarray(segment * 8, (segment + 1) * 8), (segment + 1) * 8);
  return out;
}

/** First segment from here on for which it holds; before the end, the last one. */
function firstFrom(segment: number, holds: (offset: number) => boolean): number {
  for (let i = segment; i < count - 1; i++) if (holds(i * 8)) return i;
  for (let i = segment; i >= 0; i--) if (holds(i * 8)) return i;
  throw new Error('no such segment');
}
const moving = (axis: number, least: number) => (offset: number) => stream[offset + 3 + axis]! >= least;
const resting = (axis: number) => (offset: number) => stream[offset + 3 + axis] === 0;
const unlikeNext = (offset: number) =>
  stream.subarray(offset, offset + 8).some((byte, i) => byte !== stream[offset + 8 + i]);

/** Places in the stream at which each fault is planted: ramps, cruise, both legs. */
const places = [3, 40, 777, 2000, 3333, restAt - 60, restAt + 5, restAt + 900, count - 700, count - 20];

type Fault = [name: string, kinds: FindingKind[], plant: (segment: number) => Uint8Array];
const faults: Fault[] = [
  ['a segment dropped', ['off the path', 'stray rest'], (s) => without(firstFrom(s, moving(0, 1)))],
  [
    'a segment doubled',
    ['off the path', 'stray rest', 'missing rest'],
    (s) => {
      const at = firstFrom(s, moving(0, 1));
      return joined([stream.subarray(0, (at + 1) * 8), stream.subarray(at * 8)]);
    },
  ],
  ['two neighbours swapped', ['off the path'], (s) => swapped(firstFrom(s, unlikeNext))],
  ['a step too many on the turntable', ['off the path'], (s) => withByte(s, 3, (steps) => steps + 1)],
  [
    'a step too few on the stroke',
    ['off the path'],
    (s) => withByte(firstFrom(s, moving(1, 1)), 4, (steps) => steps - 1),
  ],
  ['a step too many on the lap', ['off the path'], (s) => withByte(s, 6, (steps) => steps + 1)],
  [
    'a direction flipped',
    ['off the path', 'sign rule', 'acceleration'],
    (s) => withByte(firstFrom(s, moving(2, 1)), 2, (bits) => bits ^ 0b100),
  ],
  [
    'a tick more or less',
    ['off the path', 'stray rest', 'missing rest'],
    (s) => withByte(s, 0, (ticks) => (ticks === 255 ? 254 : ticks + 1)),
  ],
  ['a rest in full motion', ['fast rest', 'stray rest'], (s) => withByte(firstFrom(s, moving(0, 20)), 1, () => 1)],
  ['a flag nobody knows', ['flags'], (s) => withByte(s, 1, (flags) => flags | 0x02)],
  ['a direction bit of no axis', ['directions'], (s) => withByte(s, 2, (bits) => bits | 0x40)],
  ['more steps than half the ticks', ['steps'], (s) => withByte(s, 4, () => 128)],
  ['a segment too short for the line', ['ticks'], (s) => withByte(s, 0, () => 19)],
  ['a segment of no ticks', ['ticks'], (s) => withByte(s, 0, () => 0)],
  ['steps for an axis that is not there', ['steps'], (s) => withByte(s, 7, () => 1)],
  [
    'a direction bit of a resting axis changed',
    ['idle direction'],
    (s) => withByte(firstFrom(s, resting(4)), 2, (bits) => bits ^ 0b10000),
  ],
  [
    'an axis that turns round into fast steps',
    ['sign rule'],
    (s) => {
      const out = withByte(s, 2, (bits) => bits ^ 1);
      out[s * 8 + 3] = 70;
      return out;
    },
  ],
  [
    'an axis that turns round after fast steps',
    ['sign rule'],
    (s) => {
      const out = withByte(s, 3, () => 70);
      out[(s + 1) * 8 + 2]! ^= 1;
      out[(s + 1) * 8 + 3] = 2;
      return out;
    },
  ],
  ['the rest in the middle left out', ['missing rest'], () => withByte(restAt, 1, () => 0)],
  ['the rest at the end left out', ['missing rest'], () => withByte(count - 1, 1, () => 0)],
  ['the end cut off', ['ends early', 'end'], (s) => stream.subarray(0, s * 8)],
  ['the last segment left out', ['ends early'], () => stream.subarray(0, (count - 1) * 8)],
  ['segments after the end', ['goes on'], () => joined([stream, stream.subarray(0, 8)])],
  ['a torn segment', ['broken bytes'], (s) => stream.subarray(0, s * 8 + 5)],
];

describe('the checker', () => {
  it('finds nothing wrong in what the compiler wrote, at every tick and by the bound', () => {
    expect(findings(stream, analyticStand, 'every tick')).toEqual([]);
    expect(findings(stream)).toEqual([]);
  });

  it.each(faults)('finds %s', (_, kinds, plant) => {
    for (const place of places) {
      const bytes = plant(place);
      expect(bytes).not.toEqual(stream);
      const found = findings(bytes).map((finding) => finding.kind);
      expect(
        found.some((kind) => kinds.includes(kind)),
        `planted at ${place}, found ${found}`,
      ).toBe(true);
    }
  });

  it('tells segment, time and axis of a fault', () => {
    const [finding] = findings(withByte(777, 4, (steps) => steps + 1));
    expect(finding).toMatchObject({ kind: 'off the path', segment: 777, axis: 1 });
    expect(finding!.seconds).toBeCloseTo((778 * 255) / 40_000, 1);
    expect(finding!.turns).toBe(law.turnsAt(finding!.seconds));
  });

  it('tells the first findings and no more', () => {
    const bytes = without(500);
    expect(checkSegments([bytes], path, law, analyticStand, { mode: 'quick', atMost: 3 })).toHaveLength(3);
  });

  it('finds a start at which the axes do not stand', () => {
    const start = [0, -1600, 7200, 0, 0];
    expect(checkSegments([stream], path, law, analyticStand, { mode: 'quick', fromSteps: start })).toEqual([]);
    for (const [off, kind] of [
      [3, 'start'],
      [1, 'off the path'],
    ] as const) {
      for (const axis of [0, 1, 2, 3]) {
        const fromSteps = start.map((steps, i) => (i === axis ? steps + off : steps));
        const found = checkSegments([stream], path, law, analyticStand, { mode: 'quick', fromSteps });
        expect(found[0]).toMatchObject({ kind, axis });
      }
    }
  });

  it('finds a segment whose borders are right but that sags off the path between them', () => {
    // Short segments on a hard stroke; two at a time in one are four times the sag, a step and a half, on the same borders.
    const hard = analyticPath({ ...pattern, turns: 1, strokes: 150, lengthMm: 5, widthMm: 0, nudgeMm: 0, rests: [] });
    const hardLaw = analyticLaw(hard, 0, 4 / 60, 1);
    const { stroke } = analyticStand.axes;
    const stand: Stand = {
      ...analyticStand,
      axes: { ...analyticStand.axes, stroke: { ...stroke, stepsPerUnit: 90, maxAcceleration: 40_000 } },
    };
    const good = joined(compileSegments(hard, hardLaw, stand));
    expect(checkSegments([good], hard, hardLaw, stand, { mode: 'quick' })).toEqual([]);
    let merged = 0;
    for (let i = 600; i < good.length / 8 - 600; i += 397) {
      const [a, b] = [good.subarray(i * 8, i * 8 + 8), good.subarray(i * 8 + 8, i * 8 + 16)];
      if (a[0]! + b[0]! > 200 || a[2] !== b[2]) continue;
      const both = a.map((byte, k) => (k === 1 || k === 2 ? byte : byte + b[k]!));
      const bytes = joined([good.subarray(0, i * 8), both, good.subarray(i * 8 + 16)]);
      const found = checkSegments([bytes], hard, hardLaw, stand, { mode: 'quick' });
      const slow = checkSegments([bytes], hard, hardLaw, stand, { mode: 'every tick' });
      expect(found).toEqual(slow);
      expect(found.map(({ kind, segment }) => [kind, segment])).toContainEqual(['off the path', i]);
      merged++;
    }
    expect(merged).toBeGreaterThan(5);
  });

  it('finds the stream of another path', () => {
    const other = analyticPath({ ...pattern, lengthMm: 80.2 });
    const bytes = joined(compileSegments(other, law, analyticStand));
    expect(findings(bytes)[0]).toMatchObject({ kind: 'off the path', axis: 1 });
  });
});

describe('the limits of the axes', () => {
  const omega = 2 * Math.PI * (35 / 2) * (2.5 / 60);
  const speed = 40 * omega;
  // The stroke's acceleration and its speed are a quarter apart; 1.5 / 0.5 s of the speed is the easing's share.
  const acceleration = Math.hypot(40 * omega ** 2, speed * 3);
  const limited = (limits: Partial<Stand['axes']['stroke']>): Stand => ({
    ...analyticStand,
    axes: { ...analyticStand.axes, stroke: { ...analyticStand.axes.stroke, ...limits } },
  });

  it.each([
    ['speed', { maxSpeed: speed }, { maxSpeed: speed * 0.99 }],
    ['acceleration', { maxAcceleration: acceleration * 1.002 }, { maxAcceleration: acceleration * 0.92 }],
    ['travel', { min: -40, max: 40 }, { min: -39.96, max: 40 }],
    ['travel', { min: -40, max: 40 }, { min: -40, max: 39.96 }],
  ] as const)('%s: at the limit is lawful, a little beyond it is found', (kind, lawful, broken) => {
    expect(findings(stream, limited(lawful))).toEqual([]);
    const found = findings(stream, limited(broken));
    expect(found.length).toBeGreaterThan(0);
    for (const finding of found) expect(finding).toMatchObject({ kind, axis: 1 });
  });
});
