import { describe, expect, it } from 'vitest';
import { compileSegments } from '../../planner/steps/compile';
import { SegmentLedger } from '../../planner/steps/ledger';
import { stepsAtTurns } from '../../planner/steps/rounding';
import { analyticLaw, analyticPath, analyticStand } from '../support/analytic-walk';
import { joined, walkSegments } from '../support/dda';

const path = analyticPath({
  turns: 3,
  strokes: 53,
  settingMm: 90,
  lengthMm: 80,
  widthMm: 16,
  nudgeMm: 8,
  lapTurnsPerTurn: -0.37,
  rests: [1],
});
const law = analyticLaw(path, 0, 2.5 / 60, 1.5);
const stream = joined(compileSegments(path, law, analyticStand));
const start = stepsAtTurns(path, analyticStand, 0);

describe('the place on the path from what a stand tells', () => {
  it('is every axis to the step, at every tick', () => {
    const ledger = new SegmentLedger(path, law, analyticStand);
    ledger.append(stream);
    let walked = 0;
    let last = -1;
    const wrong: string[] = [];
    walkSegments(stream, start, (tick, at, segment) => {
      walked = segment === last ? walked + 1 : 1;
      last = segment;
      const ticksLeft = stream[segment * 8]! - walked;
      const steps = ledger.stepsAt(segment, ticksLeft);
      if (at.some((count, axis) => count !== steps[axis])) wrong.push(`${segment} ${ticksLeft}`);
      if (ledger.ticksAt(segment, ticksLeft) !== tick) wrong.push(`tick ${tick}`);
    });
    expect(wrong).toEqual([]);
  });

  it('is the turns walked by the time law, and the whole turns at a rest', () => {
    const ledger = new SegmentLedger(path, law, analyticStand);
    ledger.append(stream);
    expect(ledger.turnsAt(-1, 0)).toBe(0);
    expect(ledger.turnsAt(1000, 55)).toBeCloseTo(law.turnsAt(ledger.ticksAt(1000, 55) / 40_000), 12);
    let rest = 0;
    while (stream[rest * 8 + 1] !== 1) rest++;
    expect(ledger.turnsAt(rest, 0)).toBe(1);
    expect(ledger.turnsAt(ledger.end - 1, 0)).toBe(3);
  });

  it('is the same at the end of a segment and at the full ticks of the next', () => {
    const ledger = new SegmentLedger(path, law, analyticStand);
    ledger.append(stream);
    expect(ledger.stepsAt(499, 0)).toEqual(ledger.stepsAt(500, stream[500 * 8]!));
    expect(ledger.turnsAt(499, 0)).toBe(ledger.turnsAt(500, stream[500 * 8]!));
  });

  it('is the start before the first segment, also before any was sent', () => {
    const fromSteps = [5, -4, 3, -2, 0];
    const ledger = new SegmentLedger(path, law, analyticStand, { fromSteps });
    expect(ledger.stepsAt(-1, 0)).toEqual(fromSteps);
    expect(ledger.turnsAt(-1, 0)).toBe(0);
    ledger.append(stream.subarray(0, 8));
    expect(ledger.stepsAt(0, stream[0]!)).toEqual(fromSteps);
  });

  it('keeps a window of bounded size over a stream of any length', () => {
    const whole = new SegmentLedger(path, law, analyticStand);
    const window = new SegmentLedger(path, law, analyticStand);
    whole.append(stream);
    const held: number[] = [];
    for (let offset = 0; offset < stream.length; offset += 160) {
      window.append(stream.subarray(offset, offset + 160));
      window.forgetBefore(window.end - 200);
      held.push(window.end - 1);
      expect(window.has(window.end - 201)).toBe(window.end <= 200 && window.end === 200);
      for (const back of [1, 7, Math.min(200, window.end)]) {
        expect(window.stepsAt(window.end - back, 9)).toEqual(whole.stepsAt(window.end - back, 9));
      }
    }
    expect(held.length).toBeGreaterThan(300);
  });

  it('refuses places it cannot know', () => {
    const ledger = new SegmentLedger(path, law, analyticStand);
    ledger.append(stream);
    ledger.forgetBefore(100);
    for (const segment of [-1, 0, 99, ledger.end, ledger.end + 5]) {
      expect(ledger.has(segment)).toBe(false);
      expect(() => ledger.stepsAt(segment, 0)).toThrow(RangeError);
      expect(() => ledger.turnsAt(segment, 0)).toThrow(RangeError);
    }
    expect(ledger.has(100)).toBe(true);
  });

  it('goes on from a place that a ledger told, and ends at the same steps', () => {
    const before = new SegmentLedger(path, law, analyticStand);
    before.append(stream);
    const fromSteps = before.stepsAt(3001, 100);
    const rest = analyticLaw(path, before.turnsAt(3001, 100), 2.5 / 60, 1.5);
    const going = joined(compileSegments(path, rest, analyticStand, { fromSteps }));
    const after = new SegmentLedger(path, rest, analyticStand, { fromSteps });
    after.append(going);
    expect(after.stepsAt(after.end - 1, 0)).toEqual(before.stepsAt(before.end - 1, 0));
    expect(after.turnsAt(after.end - 1, 0)).toBe(3);
  });
});
