import { describe, expect, it } from 'vitest';
import { planProgram } from '../../planner/path/plan';
import { checkWalk } from '../../planner/steps/check-walk';
import { compileProgram } from '../../planner/steps/summary';
import { demoStand, program } from '../support/programs';

const ring = program(
  [
    {
      turns: 3,
      nudge: { everyStrokes: 5, byMm: 10 },
      clocking: { kind: 'steps', everyStrokes: 3, askedDeg: 40, share: 0.3 },
    },
    { turns: 2, shape: 'ellipse', widthMm: 16, settingMm: 92, clocking: { kind: 'byHand', everyTurns: 1, byDeg: 40 } },
    { turns: 1 },
  ],
  { turntableRpm: 5 },
);

describe('the summary of a program', () => {
  it('counts turns, strokes, segments and steps', () => {
    const { summary, complaints } = compileProgram(ring, demoStand);
    expect(complaints).toEqual([]);
    if (summary === null) throw new Error('no summary');
    expect(summary.turns).toBe(6);
    expect(summary.stints.map(({ turns }) => turns)).toEqual([3, 2, 1]);
    expect(summary.strokes).toBe(summary.stints.reduce((sum, stint) => sum + stint.strokes, 0));
    expect(summary.durationSeconds).toBeGreaterThan(72);
    expect(summary.segments).toBeGreaterThan((summary.durationSeconds * 40_000) / 255);
    // First and last setting agree, so both slides return; the turntable has made whole turns.
    const first = summary.stints[0]!;
    const lap = planProgram(ring, demoStand).geared[0]!.clockingTurns * first.clockings * 9600;
    expect(summary.endSteps).toEqual({
      turntable: Math.round(6 * 144_640.5),
      stroke: 0,
      radial: 0,
      lapTurn: Math.round(lap),
    });
    // Every stroke is out and back over its length; the turntable never turns back.
    expect(summary.travelSteps.turntable).toBe(summary.endSteps.turntable);
    const strokeTravel = summary.strokes * 2 * 80 * 40;
    expect(Math.abs(summary.travelSteps.stroke - strokeTravel)).toBeLessThanOrEqual(2 * summary.strokes);
    expect(summary.travelSteps.lapTurn).toBe(Math.abs(summary.endSteps.lapTurn));
  });

  it('tells the exact clocking, the blends and the rests, also those a change of pattern needs', () => {
    const { summary } = compileProgram(ring, demoStand);
    const [first, second, third] = summary!.stints;
    const clocked = (first!.clockings * first!.clockingDeg) / 360;
    expect(clocked).toBeCloseTo(Math.round(clocked), 9);
    expect([first!.blendStrokes, second!.clockingDeg, third!.blendStrokes]).toEqual([0, 0, 1]);
    expect(summary!.rests.map(({ turns, reason }) => [turns, reason])).toEqual([
      [3, 'hand clocking'],
      [4, 'hand clocking'],
    ]);
    const apart = program([{ strokesPerMinute: 60 }, { strokesPerMinute: 15 }]);
    expect(compileProgram(apart, demoStand).summary!.rests).toMatchObject([{ turns: 6, reason: 'pattern change' }]);
  });

  it('complains, with the line, of what an axis cannot follow', () => {
    const fast = program([{}, { strokesPerMinute: 110, lengthMm: 150 }]);
    const { summary, complaints } = compileProgram(fast, demoStand);
    expect(summary).toBeNull();
    expect(complaints.length).toBeGreaterThan(0);
    for (const complaint of complaints) expect(complaint).toMatchObject({ file: 'test.yaml', line: 11 });
  });

  it('complains of a program without a turn', () => {
    expect(compileProgram(program([]), demoStand).complaints).toHaveLength(1);
  });

  it('complains where the steps cannot be written, instead of throwing', () => {
    const { turntable } = demoStand.axes;
    const tooFine = { ...demoStand, axes: { ...demoStand.axes, turntable: { ...turntable, stepsPerUnit: 400_000 } } };
    const { summary, complaints } = compileProgram(ring, tooFine);
    expect(summary).toBeNull();
    expect(complaints[0]).toMatchObject({ line: 10, field: 'do' });
    expect(complaints[0]!.message).toContain('turntable: is too fast for the controller');
  });

  it('judges a walk that goes on, from the steps where the axes stand', () => {
    const plan = planProgram(ring, demoStand, 2.5);
    const whole = planProgram(ring, demoStand);
    const place = whole.path.at(2.5);
    const fromSteps = [
      Math.round(2.5 * 144_640.5) + 1,
      Math.round(place.xMm * 40),
      Math.round(place.yMm * 80) - 1,
      Math.round(place.lapTurns * 9600),
      0,
    ];
    const walk = checkWalk(plan.path, plan.law!, demoStand, { fromSteps });
    expect(walk.findings).toEqual([]);
    expect(walk.endSteps.turntable).toBe(Math.round(6 * 144_640.5) - fromSteps[0]!);
    const elsewhere = fromSteps.map((steps, axis) => (axis === 1 ? steps + 400 : steps));
    expect(checkWalk(plan.path, plan.law!, demoStand, { fromSteps: elsewhere }).findings).toMatchObject([
      { kind: 'start', axis: 1, value: expect.closeTo(400, -1) },
    ]);
  });
});
