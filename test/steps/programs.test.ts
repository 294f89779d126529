/**
 * Random programs through the whole planner: whatever a person writes, the steps come to whole turns, end where the path ends, keep
 * every limit and stay within a step and a half of the path.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { planProgram } from '../../planner/path/plan';
import type { Path } from '../../planner/path/types';
import type { Clocking, Program, Stint } from '../../planner/program/types';
import { AXES, AXIS_COUNT } from '../../planner/stand/types';
import { checkSegments } from '../../planner/steps/checker';
import { compileSegments } from '../../planner/steps/compile';
import { stepsAtTurns } from '../../planner/steps/rounding';
import type { TimeLaw } from '../../planner/timing/types';
import { joined, walkSegments } from '../support/dda';
import { demoStand, program } from '../support/programs';

const TICK_HZ = demoStand.tickHz;
const PER_UNIT = AXES.map((name) => demoStand.axes[name]?.stepsPerUnit ?? 0);

const real = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const whole = (min: number, max: number) => fc.integer({ min, max });

const clockings: fc.Arbitrary<Clocking> = fc.oneof(
  fc.constant<Clocking>({ kind: 'none' }),
  fc.constant<Clocking>({ kind: 'free' }),
  fc.record({
    kind: fc.constant<'steps'>('steps'),
    everyStrokes: whole(1, 6),
    askedDeg: whole(-60, 60),
    share: real(0.3, 0.9),
  }),
  fc.record({ kind: fc.constant<'steady'>('steady'), lapTurnsPerTurn: real(-2, 2) }),
  fc.record({ kind: fc.constant<'byHand'>('byHand'), everyTurns: whole(1, 2), byDeg: whole(10, 90) }),
);

/** Mostly what the stand can follow: the longest stroke shrinks with the rate (acceleration goes with length x rate^2). */
const stints = (mostTurns: number): fc.Arbitrary<Partial<Stint>> =>
  fc
    .record({
      turns: whole(1, mostTurns),
      shape: fc.constantFrom<Stint['shape']>('straight', 'ellipse'),
      settingMm: real(35, 140),
      lengthShare: real(0.05, 0.8),
      widthMm: real(2, 20),
      sense: fc.constantFrom<1 | -1>(1, -1),
      strokesPerMinute: whole(10, 70),
      nudge: fc.option(fc.record({ everyStrokes: whole(1, 6), byMm: real(-8, 8) })),
      clocking: clockings,
    })
    .map(({ lengthShare, widthMm, ...rest }) => ({
      ...rest,
      lengthMm: lengthShare * Math.min(220, 220 * (45 / rest.strokesPerMinute) ** 2),
      widthMm: rest.shape === 'ellipse' ? widthMm : 0,
    }));

const programs = (mostStints: number, mostTurns: number, rpm: number[]): fc.Arbitrary<Program> =>
  fc
    .record({
      stints: fc.array(stints(mostTurns), { minLength: 1, maxLength: mostStints }),
      rpm: fc.constantFrom(...rpm),
    })
    .map(({ stints: list, rpm: turntableRpm }) => program(list, { turntableRpm }));

function walkOf(written: Program): { path: Path; law: TimeLaw; stream: Uint8Array } | null {
  const { path, law } = planProgram(written, demoStand);
  return law && { path, law, stream: joined(compileSegments(path, law, demoStand)) };
}

/** Steps of each axis after `tick` path ticks, from the sums of whole segments and one division in the last. */
function stepsAfter(stream: Uint8Array, start: readonly number[], tick: number): number[] {
  const at = [...start];
  let left = tick;
  for (let offset = 0; offset < stream.length && left > 0; offset += 8) {
    const ticks = stream[offset]!;
    const walked = Math.min(left, ticks);
    for (let axis = 0; axis < AXIS_COUNT; axis++) {
      const made = Math.floor((Math.floor(ticks / 2) + walked * stream[offset + 3 + axis]!) / ticks);
      at[axis]! += stream[offset + 2]! & (1 << axis) ? -made : made;
    }
    left -= walked;
  }
  return at;
}

function deviation(path: Path, turns: number, at: readonly number[], place: Float64Array): number {
  path.sample(turns, place);
  let worst = 0;
  for (let axis = 0; axis < 4; axis++) worst = Math.max(worst, Math.abs(at[axis]! - place[axis]! * PER_UNIT[axis]!));
  return worst;
}

describe('random programs', () => {
  it('end on whole turns and on the path, keep the limits, and never leave the path by more than a step and a half', () => {
    let walked = 0;
    let refused = 0;
    const place = new Float64Array(4);
    fc.assert(
      fc.property(programs(3, 2, [3.5, 5]), (written) => {
        const walk = walkOf(written);
        if (walk === null) {
          refused++;
          return;
        }
        walked++;
        const { path, law, stream } = walk;
        const start = stepsAtTurns(path, demoStand, 0);
        const turns = written.stints.reduce((sum, stint) => sum + stint.turns, 0);
        expect(path.turns).toBe(turns);

        // The end, and with it the sums of all steps.
        const end = stepsAfter(stream, start, Number.POSITIVE_INFINITY);
        const last = path.at(turns);
        const wanted = [last.turntableTurns, last.xMm, last.yMm, last.lapTurns, 0];
        expect(end).toEqual(wanted.map((value, axis) => Math.round(value * PER_UNIT[axis]!) + 0));
        expect(end[0]).toBe(Math.round(turns * 144_640.5));

        // Where a stint begins the turntable is at its index.
        for (const { fromTurns } of path.stints) {
          const at = stepsAfter(stream, start, Math.round(law.secondsAt(fromTurns) * TICK_HZ));
          expect(Math.abs(at[0]! - fromTurns * 144_640.5)).toBeLessThanOrEqual(1.5);
        }

        expect(checkSegments([stream], path, law, demoStand, { mode: 'quick' })).toEqual([]);

        // A third opinion on the distance from the path: at the border and in the middle of every segment.
        let tick = 0;
        let worst = 0;
        const at = [...start];
        const middle = [...start];
        for (let offset = 0; offset < stream.length; offset += 8) {
          const ticks = stream[offset]!;
          const half = ticks >> 1;
          for (let axis = 0; axis < 4; axis++) {
            const steps = stream[offset + 3 + axis]!;
            const sense = stream[offset + 2]! & (1 << axis) ? -1 : 1;
            middle[axis] = at[axis]! + sense * Math.floor((half + half * steps) / ticks);
            at[axis] = at[axis]! + sense * steps;
          }
          worst = Math.max(worst, deviation(path, law.turnsAt((tick + half) / TICK_HZ), middle, place));
          tick += ticks;
          worst = Math.max(worst, deviation(path, law.turnsAt(tick / TICK_HZ), at, place));
        }
        expect(worst).toBeLessThanOrEqual(1.5);
        expect(tick).toBe(Math.ceil(law.durationSeconds * TICK_HZ - 1e-6));
      }),
      { seed: 20_261, numRuns: 1120 },
    );
    expect(walked).toBeGreaterThanOrEqual(1000);
    expect(refused).toBeGreaterThan(0);
  });

  it('are within a step and a half at every single tick', () => {
    let walked = 0;
    const place = new Float64Array(4);
    fc.assert(
      fc.property(programs(2, 1, [5]), (written) => {
        const walk = walkOf(written);
        if (walk === null) return;
        walked++;
        const { path, law, stream } = walk;
        let worst = 0;
        walkSegments(stream, stepsAtTurns(path, demoStand, 0), (tick, at) => {
          worst = Math.max(worst, deviation(path, law.turnsAt(tick / TICK_HZ), at, place));
        });
        expect(worst).toBeLessThanOrEqual(1.5);
        expect(checkSegments([stream], path, law, demoStand, { mode: 'every tick' })).toEqual([]);
      }),
      { seed: 20_262, numRuns: 55 },
    );
    expect(walked).toBeGreaterThanOrEqual(50);
  });
});
