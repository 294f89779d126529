/**
 * The laws of motion of one stint and the path made of them. This is the inner loop of the step compiler (millions of calls for a
 * long program): one flat table, no allocation, one cosine a call, and the stint of the last call is tried first.
 *
 * In a stint, v = turns since its begin, t = strokes walked in it = M v / N (plus the rate blend), psi = 2 pi t:
 *
 *     x   = -(L/2) cos psi                        L, s, W blend by smooth step from the pattern before
 *     y   = s + (W/2) sin psi - d sin^4(psi/2)    the last term on nudged strokes only, inward positive
 *     lap = steady part + clockings done x step + the step going on, a smooth step about the far end (psi = pi)
 *
 * W is signed: with the x above a positive W runs clockwise seen from above, so it is -width for the sense +1. A clocking stays within
 * the stroke it belongs to, hence never reaches over a stint's border.
 */
import { rateBlend, rateBlendBend, rateBlendSlope, smoothStep, smoothStepBend, smoothStepSlope } from './smooth';
import { type Path, type PathStint, PLACE_SIZE, type Place, type PlannedRest } from './types';

/** Columns of the table, one row a stint. `*_BEFORE` is the pattern before minus this one, blended away over BLEND turns. */
export const COLUMN = {
  FROM: 0,
  TO: 1,
  TURNS: 2,
  STROKES: 3,
  BLEND: 4,
  /** Strokes per turn. */
  RATE_BEFORE: 5,
  SETTING: 6,
  SETTING_BEFORE: 7,
  LENGTH: 8,
  LENGTH_BEFORE: 9,
  WIDTH: 10,
  WIDTH_BEFORE: 11,
  /** Inward offset of a nudged stroke, mm; every n-th stroke (0: none), strokes already counted towards it. */
  NUDGE: 12,
  NUDGE_EVERY: 13,
  NUDGE_COUNTED: 14,
  /** Lap turns of one clocking; every m-th stroke (0: none), strokes already counted, share of the stroke it takes. */
  CLOCK: 15,
  CLOCK_EVERY: 16,
  CLOCK_COUNTED: 17,
  CLOCK_SHARE: 18,
  /** Lap angle at the stint's begin, turns; steady lap turns per turn of the turntable. */
  LAP: 19,
  STEADY: 20,
  STEADY_BEFORE: 21,
} as const;
export const ROW = 22;

const TWO_PI = 2 * Math.PI;

export class Walk implements Path {
  /** Offset of the row used last. */
  private row = 0;
  private readonly scratch = new Float64Array(PLACE_SIZE);

  constructor(
    private readonly table: Float64Array,
    readonly stints: readonly PathStint[],
    readonly rests: readonly PlannedRest[],
  ) {}

  get turns(): number {
    return this.table.length === 0 ? 0 : (this.table[this.table.length - ROW + COLUMN.TO] as number);
  }

  at(u: number): Place {
    const out = this.scratch;
    this.sample(u, out);
    return {
      turntableTurns: out[0] as number,
      xMm: out[1] as number,
      yMm: out[2] as number,
      lapTurns: out[3] as number,
    };
  }

  sample(u: number, out: Float64Array): void {
    const T = this.table;
    const o = this.rowAt(u);
    const to = T[o + COLUMN.TO] as number;
    const from = T[o + COLUMN.FROM] as number;
    const at = Math.max(from, Math.min(u, to));
    const v = at - from;
    const blend = T[o + COLUMN.BLEND] as number;
    // M v / N in this order, so that v = N gives M exactly.
    let t = ((T[o + COLUMN.STROKES] as number) * v) / (T[o + COLUMN.TURNS] as number);
    let setting = T[o + COLUMN.SETTING] as number;
    let length = T[o + COLUMN.LENGTH] as number;
    let width = T[o + COLUMN.WIDTH] as number;
    let lap = (T[o + COLUMN.LAP] as number) + (T[o + COLUMN.STEADY] as number) * v;
    if (v < blend) {
      const s = v / blend;
      const rest = 1 - smoothStep(s);
      const bump = blend * rateBlend(s);
      t += (T[o + COLUMN.RATE_BEFORE] as number) * bump;
      lap += (T[o + COLUMN.STEADY_BEFORE] as number) * bump;
      setting += (T[o + COLUMN.SETTING_BEFORE] as number) * rest;
      length += (T[o + COLUMN.LENGTH_BEFORE] as number) * rest;
      width += (T[o + COLUMN.WIDTH_BEFORE] as number) * rest;
    }
    const stroke = Math.floor(t);
    const f = t - stroke;
    const cos = Math.cos(TWO_PI * f);
    let y = setting;
    if (width !== 0) y += 0.5 * width * Math.sin(TWO_PI * f);
    const nudgeEvery = T[o + COLUMN.NUDGE_EVERY] as number;
    if (nudgeEvery !== 0 && ((T[o + COLUMN.NUDGE_COUNTED] as number) + stroke + 1) % nudgeEvery === 0) {
      const half = 0.5 - 0.5 * cos;
      y -= (T[o + COLUMN.NUDGE] as number) * half * half;
    }
    const clockEvery = T[o + COLUMN.CLOCK_EVERY] as number;
    if (clockEvery !== 0) {
      const counted = (T[o + COLUMN.CLOCK_COUNTED] as number) + stroke;
      let steps = Math.floor(counted / clockEvery);
      if ((counted + 1) % clockEvery === 0) {
        steps += smoothStep((f - 0.5) / (T[o + COLUMN.CLOCK_SHARE] as number) + 0.5);
      }
      lap += steps * (T[o + COLUMN.CLOCK] as number);
    }
    out[0] = at;
    out[1] = -0.5 * length * cos;
    out[2] = y;
    out[3] = lap;
  }

  derivatives(u: number, out: Float64Array): void {
    const T = this.table;
    const o = this.rowAt(u);
    const to = T[o + COLUMN.TO] as number;
    const from = T[o + COLUMN.FROM] as number;
    const v = Math.max(from, Math.min(u, to)) - from;
    const blend = T[o + COLUMN.BLEND] as number;
    const turns = T[o + COLUMN.TURNS] as number;
    const strokes = T[o + COLUMN.STROKES] as number;
    let t = (strokes * v) / turns;
    let rate = strokes / turns;
    let rateBend = 0;
    let [settingSlope, settingBend] = [0, 0];
    let length = T[o + COLUMN.LENGTH] as number;
    let [lengthSlope, lengthBend] = [0, 0];
    let width = T[o + COLUMN.WIDTH] as number;
    let [widthSlope, widthBend] = [0, 0];
    let lapSlope = T[o + COLUMN.STEADY] as number;
    let lapBend = 0;
    if (v < blend) {
      const s = v / blend;
      const rest = 1 - smoothStep(s);
      const slope = -smoothStepSlope(s) / blend;
      const bend = -smoothStepBend(s) / (blend * blend);
      const rateBefore = T[o + COLUMN.RATE_BEFORE] as number;
      t += rateBefore * blend * rateBlend(s);
      rate += rateBefore * rateBlendSlope(s);
      rateBend = (rateBefore * rateBlendBend(s)) / blend;
      const steadyBefore = T[o + COLUMN.STEADY_BEFORE] as number;
      lapSlope += steadyBefore * rateBlendSlope(s);
      lapBend = (steadyBefore * rateBlendBend(s)) / blend;
      const settingBefore = T[o + COLUMN.SETTING_BEFORE] as number;
      settingSlope = settingBefore * slope;
      settingBend = settingBefore * bend;
      const lengthBefore = T[o + COLUMN.LENGTH_BEFORE] as number;
      length += lengthBefore * rest;
      lengthSlope = lengthBefore * slope;
      lengthBend = lengthBefore * bend;
      const widthBefore = T[o + COLUMN.WIDTH_BEFORE] as number;
      width += widthBefore * rest;
      widthSlope = widthBefore * slope;
      widthBend = widthBefore * bend;
    }
    const stroke = Math.floor(t);
    const f = t - stroke;
    const cos = Math.cos(TWO_PI * f);
    const sin = Math.sin(TWO_PI * f);
    const psiSlope = TWO_PI * rate;
    const psiBend = TWO_PI * rateBend;
    const psiSlope2 = psiSlope * psiSlope;
    let ySlope = settingSlope + 0.5 * (widthSlope * sin + width * cos * psiSlope);
    let yBend =
      settingBend + 0.5 * (widthBend * sin + width * (cos * psiBend - sin * psiSlope2)) + widthSlope * cos * psiSlope;
    const nudgeEvery = T[o + COLUMN.NUDGE_EVERY] as number;
    if (nudgeEvery !== 0 && ((T[o + COLUMN.NUDGE_COUNTED] as number) + stroke + 1) % nudgeEvery === 0) {
      // sin^4(psi/2) = h^2 with h = (1 - cos psi)/2.
      const half = 0.5 - 0.5 * cos;
      const nudge = T[o + COLUMN.NUDGE] as number;
      ySlope -= nudge * half * sin * psiSlope;
      yBend -= nudge * ((0.5 * sin * sin + half * cos) * psiSlope2 + half * sin * psiBend);
    }
    const clockEvery = T[o + COLUMN.CLOCK_EVERY] as number;
    if (clockEvery !== 0 && ((T[o + COLUMN.CLOCK_COUNTED] as number) + stroke + 1) % clockEvery === 0) {
      const share = T[o + COLUMN.CLOCK_SHARE] as number;
      const z = (f - 0.5) / share + 0.5;
      const step = (T[o + COLUMN.CLOCK] as number) / share;
      lapSlope += step * smoothStepSlope(z) * rate;
      lapBend += step * ((smoothStepBend(z) / share) * rate * rate + smoothStepSlope(z) * rateBend);
    }
    out[0] = 1;
    out[1] = 0.5 * (length * sin * psiSlope - lengthSlope * cos);
    out[2] = ySlope;
    out[3] = lapSlope;
    out[4] = 0;
    out[5] = 0.5 * (length * (cos * psiSlope2 + sin * psiBend) - lengthBend * cos) + lengthSlope * sin * psiSlope;
    out[6] = yBend;
    out[7] = lapBend;
  }

  /** Row of the stint that holds u; at a border the later one. */
  private rowAt(u: number): number {
    const T = this.table;
    const row = this.row;
    if (u >= (T[row + COLUMN.FROM] as number) && u < (T[row + COLUMN.TO] as number)) return row;
    let low = 0;
    let high = T.length / ROW - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (u >= (T[middle * ROW + COLUMN.FROM] as number)) low = middle;
      else high = middle - 1;
    }
    this.row = low * ROW;
    return this.row;
  }
}
