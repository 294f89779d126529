import { describe, expect, it } from 'vitest';
import { targetOf, waysDown } from '../../planner/suggest/target';
import { rings } from '../figure/synthetic';
import { figureOf } from './laps';

const RING = rings([{ radiusMm: 90, widthMm: 60, heightNm: 80 }]);
const HOLE = rings([{ radiusMm: 70, widthMm: 60, heightNm: -80 }]);
const PLAIN = { downTo: 'lowest zone' as const, allowedLowNm: 0, edgeWeight: 1 };

describe('the target removal', () => {
  it('is never negative and never asks for anything where nothing was measured', () => {
    for (const error of [RING, HOLE]) {
      for (const allowedLowNm of [0, 10, 200]) {
        const target = targetOf(figureOf(error), { ...PLAIN, allowedLowNm, edgeWeight: 2 });
        expect(Math.min(...target.removalNm)).toBeGreaterThanOrEqual(0);
        expect(Math.min(...target.removalNm)).toBeLessThan(1e-9);
        target.removalNm.forEach((depth, i) => {
          if (target.area[i] === 0) expect(depth).toBe(0);
        });
      }
    }
  });

  it('of a raised ring is the ring, whatever the reference it was reduced to', () => {
    const target = targetOf(figureOf(RING, 0.0005), PLAIN);
    target.removalNm.forEach((depth, i) => {
      expect(Math.abs(depth - RING.heightNm(target.radiusMm[i]!))).toBeLessThan(6);
    });
  });

  it('of a hole is everything else, unless the hole may stay', () => {
    const figure = figureOf(HOLE, 0.0005);
    const everything = targetOf(figure, PLAIN);
    const local = targetOf(figure, { ...PLAIN, downTo: 'most of the area' });
    expect(everything.volumeMm3).toBeGreaterThan(2);
    expect(local.volumeMm3).toBeLessThan(0.1 * everything.volumeMm3);
    expect(local.lowNm).toBeGreaterThan(70);
    expect(Math.abs(local.lowAtMm - 70)).toBeLessThan(6);
  });

  it('has the volume that the ring has', () => {
    // 2 pi R times the area of a raised cosine, half its height times its width, for a ring far from the axis: mm3.
    const ring = 2 * Math.PI * 90 * (80e-6 / 2) * 60;
    expect(Math.abs(targetOf(figureOf(RING, 0.0005), PLAIN).volumeMm3 / ring - 1)).toBeLessThan(0.08);
  });

  it('counts the rim more where asked', () => {
    const { weight, area } = targetOf(figureOf(RING), { ...PLAIN, edgeWeight: 4 });
    const last = weight.length - 1;
    expect(weight[last]! / area[last]!).toBeCloseTo(4, 6);
    expect(weight[1]! / area[1]!).toBeCloseTo(1, 3);
  });

  it.each([-1, Number.NaN])('refuses an allowance of %f nm: it would ask for glass to be added', (allowedLowNm) => {
    expect(() => targetOf(figureOf(RING), { ...PLAIN, allowedLowNm })).toThrow(/glass to be added/);
  });
});

describe('ways down', () => {
  it('weigh lowering everything against leaving the hole, with hours', () => {
    const [everything, enough, local] = waysDown(figureOf(HOLE, 0.0005), 34, 2);
    expect(everything!.leftLowNm).toBeLessThan(1);
    expect(local!.leftLowNm).toBeGreaterThan(60);
    expect(enough!.leftLowNm).toBeCloseTo(34, 0);
    expect(everything!.volumeMm3).toBeGreaterThan(enough!.volumeMm3);
    expect(enough!.volumeMm3).toBeGreaterThan(local!.volumeMm3);
    expect(everything!.hours).toBeCloseTo(everything!.volumeMm3 / 2, 9);
    expect(everything!.words).toMatch(/^Lower everything to the lowest zone: \d\.\d\d mm3, \d\.\d h, 0 nm stay low/);
  });

  it('say nothing of hours while no lap has told its pace', () => {
    expect(waysDown(figureOf(HOLE), 34, null)[0]!.hours).toBeNull();
  });
});
