/**
 * Share of a ring that a round lap covers: f(r) = (1/pi) acos[(R^2 + r^2 - a^2)/(2 R r)], elementary geometry (the "angular
 * size of annuli" of Santiago-Alvarado et al., Appl. Opt. 2007). Values computed from the formula with 25 digits.
 */
import { describe, expect, it } from 'vitest';
import { halfArc } from '../../planner/removal/profile';

const share = (setting: number, radius: number, lap: number): number => halfArc(setting, radius, lap) / Math.PI;

describe('the arc that a round lap covers', () => {
  it.each([
    [40, 0],
    [45, 0.094396038538717],
    [50, 0.12103771832368],
    [55, 0.13427541751344],
    [60, 0.1400486960931],
    [65, 0.14073152787063],
    [70, 0.13748472351321],
    [75, 0.13086924616167],
    [80, 0.12103771832368],
    [85, 0.10772539160967],
    [90, 0.08997287077202],
    [95, 0.064842062271217],
    [100, 0],
  ])('at %s mm, lap of 30 mm radius at 70 mm', (radius, expected) => {
    expect(share(70, radius, 30)).toBeCloseTo(expected, 13);
  });

  it.each([
    [5, 1],
    [10, 1],
    [12, 0.76596435658392],
    [20, 0.53989308767477],
    [30, 0.39182655203061],
    [40, 0.2587081302345],
    [45, 0.17827324368481],
    [50, 0],
  ])('at %s mm, lap of 30 mm radius over the middle at 20 mm', (radius, expected) => {
    expect(share(20, radius, 30)).toBeCloseTo(expected, 13);
  });

  it('is largest inside the setting, at sqrt(R^2 - a^2), where it is asin(a/R)/pi', () => {
    const at = Math.sqrt(70 ** 2 - 30 ** 2);
    expect(share(70, at, 30)).toBeCloseTo(0.14098296402862, 13);
    expect(share(70, at, 30)).toBeCloseTo(Math.asin(30 / 70) / Math.PI, 13);
    expect(share(70, at - 0.1, 30)).toBeLessThan(share(70, at, 30));
    expect(share(70, at + 0.1, 30)).toBeLessThan(share(70, at, 30));
  });

  it('is a third of the ring through the middle of a lap that reaches the axis', () => {
    expect(share(30, 30, 30)).toBeCloseTo(1 / 3, 13);
  });

  it('covers the area of the lap', () => {
    let area = 0;
    const step = 1e-3;
    for (let r = 40 + step / 2; r < 100; r += step) area += 2 * Math.PI * r * step * share(70, r, 30);
    expect(area).toBeCloseTo(Math.PI * 900, 2);
  });
});
