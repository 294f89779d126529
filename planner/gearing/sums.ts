/**
 * The sums behind the score: | mean over strokes of exp(2 pi i (q azimuth + h orientation)) | in closed form.
 *
 * All strokes repeat with the m of the clocking, nudged ones with L = lcm(n, m): a sum is a short one over the places in one period, each
 * with a geometric sum over its repeats. Strokes that are not nudged are all less the nudged ones, for listing L places is too long where
 * L is. Where the pattern closes, the mean is exactly 0 unless K divides q N + h J (K periods, N turns, J turns of the lap).
 */
import { lapOrientation, type Pattern, periodStrokes } from './pattern';

/** Strokes that come again after a period, with what one period adds, in turns. */
class Places {
  private readonly azimuthStep: number;
  private readonly orientationStep: number;
  private readonly azimuth: number[] = [];
  private readonly orientation: number[] = [];

  /** Strokes first, first + every, ... of one period. */
  constructor(
    pattern: Pattern,
    private readonly period: number,
    private readonly first: number,
    private readonly every: number,
  ) {
    const { turns, strokes } = pattern;
    this.azimuthStep = turnsIn(turns, period, strokes);
    this.orientationStep = lapOrientation(pattern, period) % 1;
    for (let r = first; r < Math.min(period, strokes); r += every) {
      this.azimuth.push(turnsIn(turns, r, strokes));
      this.orientation.push(lapOrientation(pattern, r) % 1);
    }
  }

  /** Adds the sum over the strokes from..to, and how many they are, `times` (1 or -1) over. */
  add(into: Sum, times: number, q: number, h: number, from: number, to: number): void {
    const { period } = this;
    const advance = q * this.azimuthStep + h * this.orientationStep;
    for (let i = 0; i < this.azimuth.length; i++) {
      const r = this.first + i * this.every;
      const skipped = from > r ? Math.ceil((from - r) / period) : 0;
      const count = Math.ceil((to - r) / period) - skipped;
      if (count <= 0) continue;
      const start = q * (this.azimuth[i] as number) + h * (this.orientation[i] as number);
      const phase = 2 * Math.PI * (start + (skipped + (count - 1) / 2) * advance);
      const size = times * geometricSum(count, advance);
      into.re += size * Math.cos(phase);
      into.im += size * Math.sin(phase);
      into.count += times * count;
    }
  }
}

interface Sum {
  re: number;
  im: number;
  count: number;
}

export class PatternSums {
  private readonly period: number;
  /** Periods in the group; whole where the pattern closes. */
  private readonly periods: number;
  private readonly all: Places;
  private readonly nudged: Places | null;
  private readonly shifted: boolean;
  private readonly total: Sum = { re: 0, im: 0, count: 0 };

  /** @param offsets lap turns that other stints have added before each occurrence; left out when there are none */
  constructor(
    private readonly pattern: Pattern,
    private readonly offsets?: Float64Array,
  ) {
    const { strokes, nudgeEvery, clockEvery } = pattern;
    this.period = periodStrokes(nudgeEvery, clockEvery);
    this.periods = strokes / this.period;
    this.shifted = offsets?.some((offset) => offset !== 0) ?? false;
    this.all = new Places(pattern, clockEvery || 1, 0, 1);
    this.nudged = nudgeEvery > 0 ? new Places(pattern, this.period, nudgeEvery - 1, nudgeEvery) : null;
  }

  /** Whether there are strokes that are nudged, or that are not. */
  has(nudged: boolean): boolean {
    const { nudgeEvery, strokes } = this.pattern;
    return nudged ? nudgeEvery > 0 && nudgeEvery <= strokes : nudgeEvery !== 1;
  }

  /** Share of order (q, h) that these strokes print, 0..1. */
  share(nudged: boolean, q: number, h: number): number {
    if (h !== 0 && this.shifted) return this.shareOverOccurrences(nudged, q, h);
    const { turns, lapTurns, strokes } = this.pattern;
    const closed = Number.isInteger(this.periods) && (h === 0 || Number.isInteger(lapTurns));
    if (closed && (q * turns + h * lapTurns) % this.periods !== 0) return 0;
    const { re, im, count } = this.sum(nudged, q, h, 0, strokes);
    return count === 0 ? 0 : Math.min(1, Math.hypot(re, im) / count);
  }

  /** Sum over the strokes from..to of the group's count. Overwritten by the next. */
  private sum(nudged: boolean, q: number, h: number, from: number, to: number): Sum {
    const { total } = this;
    total.re = 0;
    total.im = 0;
    total.count = 0;
    if (nudged) this.nudged?.add(total, 1, q, h, from, to);
    else {
      this.all.add(total, 1, q, h, from, to);
      this.nudged?.add(total, -1, q, h, from, to);
    }
    return total;
  }

  /** When other stints turn the lap between the occurrences: each occurrence comes with a phase of its own. */
  private shareOverOccurrences(nudged: boolean, q: number, h: number): number {
    const { strokes, turns, occurrences } = this.pattern;
    const each = strokes / occurrences;
    const advance = q * turnsIn(turns, this.period, strokes) + h * (lapOrientation(this.pattern, this.period) % 1);
    const byResidue = new Map<number, [re: number, im: number, count: number]>();
    let [re, im, total] = [0, 0, 0];
    for (let o = 0; o < occurrences; o++) {
      const residue = (o * each) % this.period;
      let part = byResidue.get(residue);
      if (!part) {
        const { re: partRe, im: partIm, count } = this.sum(nudged, q, h, residue, residue + each);
        part = [partRe, partIm, count];
        byResidue.set(residue, part);
      }
      const turned = ((o * each - residue) / this.period) * advance + h * (this.offsets?.[o] ?? 0);
      const phase = 2 * Math.PI * (turned % 1);
      const [cos, sin] = [Math.cos(phase), Math.sin(phase)];
      re += part[0] * cos - part[1] * sin;
      im += part[0] * sin + part[1] * cos;
      total += part[2];
    }
    return total === 0 ? 0 : Math.min(1, Math.hypot(re, im) / total);
  }
}

/** sum over k = 0..count-1 of exp(2 pi i k step), turned so that it is real: sin(pi count step) / sin(pi step). */
function geometricSum(count: number, step: number): number {
  const whole = Math.round(step);
  if (Math.abs(step - whole) * count < 1e-9) return whole % 2 !== 0 && count % 2 === 0 ? -count : count;
  return Math.sin(Math.PI * count * step) / Math.sin(Math.PI * step);
}

/** Turns walked in so many strokes, without the whole ones. */
function turnsIn(turns: number, count: number, strokes: number): number {
  return ((turns * count) % strokes) / strokes;
}
