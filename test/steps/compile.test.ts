import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Path } from '../../planner/path/types';
import type { Stand } from '../../planner/stand/types';
import { checkSegments } from '../../planner/steps/checker';
import { type CompileOptions, compileSegments } from '../../planner/steps/compile';
import { UnwalkablePath } from '../../planner/steps/findings';
import { SegmentLedger } from '../../planner/steps/ledger';
import { stepsAtTurns } from '../../planner/steps/rounding';
import { SegmentWriter } from '../../planner/steps/writer';
import type { TimeLaw } from '../../planner/timing/types';
import { type AnalyticPattern, analyticLaw, analyticPath, analyticStand } from '../support/analytic-walk';
import { joined, walkSegments } from '../support/dda';

const pattern: AnalyticPattern = {
  turns: 3,
  strokes: 53,
  settingMm: 90,
  lengthMm: 80,
  widthMm: 16,
  nudgeMm: 8,
  lapTurnsPerTurn: 0.37,
  rests: [1, 2],
};
const cruise = 2.5 / 60;

function compiled(path: Path, law: TimeLaw, stand: Stand = analyticStand, options: CompileOptions = {}): Uint8Array {
  return joined(compileSegments(path, law, stand, options));
}

/** Largest distance of any axis from the path at any tick, in steps, by the reference walk. */
function worstDeviation(stream: Uint8Array, path: Path, law: TimeLaw, stand: Stand, start: readonly number[]): number {
  const perUnit = [stand.axes.turntable, stand.axes.stroke, stand.axes.radial, stand.axes.lapTurn].map(
    (axis) => axis.stepsPerUnit,
  );
  const place = new Float64Array(4);
  let worst = 0;
  walkSegments(stream, start, (tick, at) => {
    path.sample(law.turnsAt(tick / stand.tickHz), place);
    for (let axis = 0; axis < 4; axis++) worst = Math.max(worst, Math.abs(at[axis]! - place[axis]! * perUnit[axis]!));
  });
  return worst;
}

/** Breaks of the rules between neighbouring segments and inside each, by the words of the controller's SPEC. */
function brokenRules(stream: Uint8Array): string[] {
  const broken: string[] = [];
  for (let offset = 0; offset < stream.length; offset += 8) {
    const [ticks, flags, directions, ...steps] = stream.subarray(offset, offset + 8) as unknown as number[];
    if (ticks! < 20 || flags! > 1 || directions! > 31) broken.push(`record ${offset / 8}`);
    for (let axis = 0; axis < 5; axis++) {
      if (2 * steps[axis]! > ticks!) broken.push(`steps ${offset / 8}`);
      if (flags! === 1 && 16 * steps[axis]! > ticks!) broken.push(`fast rest ${offset / 8}`);
      if (offset === 0) continue;
      if (((stream[offset - 6]! ^ directions!) & (1 << axis)) === 0) continue;
      if (steps[axis] === 0) broken.push(`idle direction ${offset / 8}`);
      if (4 * steps[axis]! > ticks! || 4 * stream[offset - 5 + axis]! > stream[offset - 8]!) {
        broken.push(`sign rule ${offset / 8}`);
      }
    }
  }
  return broken;
}

describe('compiling a path into segments', () => {
  const path = analyticPath(pattern);
  const law = analyticLaw(path, 0, cruise, 1.5);
  const stream = compiled(path, law);

  it('ends every axis on the whole step nearest to the end of the path, and the turntable on whole turns', () => {
    const end = walkSegments(stream, stepsAtTurns(path, analyticStand, 0), () => {});
    const last = path.at(3);
    expect(end).toEqual([
      Math.round(3 * 144_640.5),
      Math.round(last.xMm * 40),
      Math.round(last.yMm * 80),
      Math.round(last.lapTurns * 9600),
      0,
    ]);
  });

  it('keeps every axis within 1.5 steps of the path at every tick', () => {
    const worst = worstDeviation(stream, path, law, analyticStand, stepsAtTurns(path, analyticStand, 0));
    expect(worst).toBeLessThanOrEqual(1.5);
    expect(worst).toBeGreaterThan(0.9); // the reference does see rounding and spreading
  });

  it('takes the ticks of the law, to the tick, with a rest flag at each planned rest and at the end', () => {
    let tick = 0;
    const rests: number[] = [];
    for (let offset = 0; offset < stream.length; offset += 8) {
      tick += stream[offset]!;
      if (stream[offset + 1] === 1) rests.push(tick);
    }
    const wanted = [...law.restSeconds, law.durationSeconds].map((seconds) => Math.ceil(seconds * 40_000 - 1e-6));
    expect(rests).toEqual(wanted);
    expect(tick).toBe(wanted[2]);
  });

  it('takes the longest segments that the sag allows', () => {
    const lengths: number[] = [];
    for (let offset = 0; offset < stream.length; offset += 8) lengths.push(stream[offset]!);
    // 849 mm/s2 x 40 steps/mm bends by 0.17 steps in 255 ticks: nothing need be shorter but the segments before the rests.
    expect(lengths.filter((ticks) => ticks === 255).length).toBeGreaterThanOrEqual(lengths.length - 6);
  });

  it('shortens segments where an axis is hard pressed, and still keeps the bound', () => {
    const fine: Stand = {
      ...analyticStand,
      axes: { ...analyticStand.axes, stroke: { ...analyticStand.axes.stroke, stepsPerUnit: 90 } },
    };
    const fast = analyticPath({ ...pattern, turns: 1, strokes: 150, lengthMm: 5, widthMm: 0, nudgeMm: 0, rests: [] });
    const fastLaw = analyticLaw(fast, 0, 4 / 60, 1);
    const short = compiled(fast, fastLaw, fine);
    const lengths = Array.from({ length: short.length / 8 }, (_, i) => short[i * 8]!);
    expect(Math.min(...lengths.slice(1, -2))).toBeLessThan(200);
    expect(Math.max(...lengths)).toBe(255);
    expect(worstDeviation(short, fast, fastLaw, fine, stepsAtTurns(fast, fine, 0))).toBeLessThanOrEqual(1.5);
  });

  it('leaves the direction bit of a resting axis as it was', () => {
    expect(brokenRules(stream)).toEqual([]);
    const still = analyticPath({ ...pattern, widthMm: 0, nudgeMm: 0, lapTurnsPerTurn: 0 });
    const quiet = compiled(still, law);
    for (let offset = 0; offset < quiet.length; offset += 8) {
      expect(quiet[offset + 2]! & 0b11101).toBe(0);
      expect([quiet[offset + 5], quiet[offset + 6], quiet[offset + 7]]).toEqual([0, 0, 0]);
    }
  });

  it('goes on from any place, from the steps the axes really stand at, to the same end', () => {
    const from = 1.234567;
    const rest = analyticLaw(path, from, cruise, 1.5);
    const planned = stepsAtTurns(path, analyticStand, from);
    const actual = [planned[0]! + 1, planned[1]! - 1, planned[2]! + 1, planned[3]!, 0];
    const going = compiled(path, rest, analyticStand, { fromSteps: actual });
    expect(walkSegments(going, actual, () => {})).toEqual([...stepsAtTurns(path, analyticStand, 3)]);
    expect(brokenRules(going)).toEqual([]);
    expect(checkSegments([going], path, rest, analyticStand, { mode: 'every tick', fromSteps: actual })).toEqual([]);
  });

  it('walks the few ticks that are left just before the end', () => {
    const rest = analyticLaw(path, 3 - 1e-7, cruise, 1e-4);
    const short = compiled(path, rest);
    expect([...short.subarray(0, 2)]).toEqual([20, 1]);
    expect(walkSegments(short, stepsAtTurns(path, analyticStand, 3 - 1e-7), () => {})).toEqual([
      ...stepsAtTurns(path, analyticStand, 3),
    ]);
  });

  it('writes on to an earlier end when the law is changed in the middle of the walk', () => {
    // One turn less, the same up to the ramp down to it: what a stop at the end of the turn asks for.
    const shorter: Path = { ...path, turns: 2, rests: path.rests.slice(0, 1) };
    const sooner = analyticLaw(shorter, 0, cruise, 1.5);
    const writer = new SegmentWriter(path, law, analyticStand, undefined);
    const ledger = new SegmentLedger(path, law, analyticStand);
    const first = new Uint8Array(5000 * 8);
    expect(writer.fill(first)).toBe(first.length);
    ledger.append(first);
    writer.changeLaw(sooner);
    ledger.changeLaw(sooner);
    const then = new Uint8Array(5000 * 8);
    const bytes = writer.fill(then);
    ledger.append(then.subarray(0, bytes));
    expect(writer.done).toBe(true);
    const all = joined([first, then.subarray(0, bytes)]);
    expect(checkSegments([all], path, sooner, analyticStand, { mode: 'every tick' })).toEqual([]);
    expect(ledger.stepsAt(ledger.end - 1, 0)).toEqual(stepsAtTurns(path, analyticStand, 2));
    expect(ledger.turnsAt(ledger.end - 1, 0)).toBe(2);
    expect(() => writer.changeLaw(analyticLaw({ ...path, turns: 1, rests: [] }, 0, cruise, 1.5))).toThrow(RangeError);
  });

  it('refuses to go on from axes that stand elsewhere, and says which', () => {
    const off = [...stepsAtTurns(path, analyticStand, 0)];
    off[2] = off[2]! + 40;
    expect(() => compiled(path, law, analyticStand, { fromSteps: off })).toThrow(/^radial: stands too far/);
  });

  it('refuses a path that is too fast for half the tick rate, and tells where', () => {
    const fine: Stand = {
      ...analyticStand,
      axes: { ...analyticStand.axes, turntable: { ...analyticStand.axes.turntable, stepsPerUnit: 600_000 } },
    };
    try {
      compiled(path, law, fine);
      expect.unreachable();
    } catch (error) {
      expect(error).toBeInstanceOf(UnwalkablePath);
      const { finding } = error as UnwalkablePath;
      expect(finding).toMatchObject({ kind: 'steps', axis: 0 });
      // 20,000 steps/s are reached where the smooth-step has 0.8 of 25,000.
      expect(law.speedAt(finding.seconds) * 600_000).toBeCloseTo(20_000, -3);
    }
  });

  it('refuses a path that bends harder than the shortest segment can follow', () => {
    const fine: Stand = {
      ...analyticStand,
      axes: { ...analyticStand.axes, stroke: { ...analyticStand.axes.stroke, stepsPerUnit: 4000 } },
    };
    const tiny = analyticPath({
      ...pattern,
      turns: 1,
      strokes: 6000,
      lengthMm: 0.005,
      widthMm: 0,
      nudgeMm: 0,
      rests: [],
    });
    expect(() => compiled(tiny, analyticLaw(tiny, 0, cruise, 1.5), fine)).toThrow(/bends too hard/);
  });

  it('gives the same bytes in batches that stay as they were', () => {
    const batches = [...compileSegments(path, law, analyticStand)];
    expect(batches.length).toBeGreaterThan(10);
    expect(batches.slice(0, -1).every((batch) => batch.length === 512 * 8)).toBe(true);
    expect(joined(batches)).toEqual(stream);
  });
});

describe('random patterns on random stands', () => {
  // Steps per unit up to where segments of 20 ticks are needed; what the controller cannot do is refused, never written.
  const walks = fc.record({
    turns: fc.integer({ min: 1, max: 2 }),
    strokesPerTurn: fc.integer({ min: 4, max: 60 }),
    lengthMm: fc.double({ min: 0.5, max: 160, noNaN: true }),
    widthMm: fc.double({ min: 0, max: 40, noNaN: true }),
    nudgeMm: fc.double({ min: -10, max: 20, noNaN: true }),
    lapTurnsPerTurn: fc.double({ min: -3, max: 3, noNaN: true }),
    rpm: fc.double({ min: 20, max: 90, noNaN: true }),
    rampSeconds: fc.double({ min: 0.02, max: 1, noNaN: true }),
    perTurn: fc.double({ min: 100, max: 30_000, noNaN: true }),
    perMm: fc.double({ min: 0.2, max: 60, noNaN: true }),
  });

  it('either keep every rule and the 1.5 steps, or are refused', () => {
    let refused = 0;
    let shortest = 255;
    const runs = 150;
    fc.assert(
      fc.property(walks, (walk) => {
        const path = analyticPath({
          ...walk,
          strokes: walk.strokesPerTurn * walk.turns,
          settingMm: 90,
          rests: walk.turns > 1 ? [1] : [],
        });
        const law = analyticLaw(path, 0, walk.rpm / 60, walk.rampSeconds);
        const { turntable, stroke, radial, lapTurn } = analyticStand.axes;
        const stand: Stand = {
          ...analyticStand,
          axes: {
            turntable: { ...turntable, stepsPerUnit: walk.perTurn },
            stroke: { ...stroke, stepsPerUnit: walk.perMm },
            radial: { ...radial, stepsPerUnit: walk.perMm * 2 },
            lapTurn,
          },
        };
        let stream: Uint8Array;
        try {
          stream = compiled(path, law, stand);
        } catch (error) {
          if (!(error instanceof UnwalkablePath)) throw error;
          refused++;
          return;
        }
        for (let offset = 0; offset < stream.length; offset += 8) shortest = Math.min(shortest, stream[offset]!);
        expect(brokenRules(stream)).toEqual([]);
        const start = stepsAtTurns(path, stand, 0);
        expect(worstDeviation(stream, path, law, stand, start)).toBeLessThanOrEqual(1.5);
        expect(walkSegments(stream, start, () => {})).toEqual([...stepsAtTurns(path, stand, walk.turns)]);
      }),
      { seed: 20_251, numRuns: runs },
    );
    expect(refused).toBeLessThan(runs / 2);
    expect(shortest).toBeLessThan(40);
  });
});
