/**
 * The sums behind the score: | mean over strokes of exp(2 pi i (q azimuth + h orientation)) | in closed form.
 *
 * Strokes repeat with the period L = lcm(n, m), so the mean is a short sum over one period times a geometric sum over the periods. Where
 * the pattern closes, that second sum is exactly 0 unless K divides q N + h J (K periods, N turns, J turns of the lap).
 */
import { lapOrientation, type Pattern, periodStrokes } from './pattern';

/** Places in the period, with their azimuth and lap orientation in turns. */
interface Places {
  strokes: number[];
  azimuth: number[];
  orientation: number[];
}

export class PatternSums {
  private readonly period: number;
  /** Periods in the group; whole where the pattern closes. */
  private readonly periods: number;
  /** What one period adds, in turns. */
  private readonly azimuthStep: number;
  private readonly orientationStep: number;
  private readonly plain: Places = { strokes: [], azimuth: [], orientation: [] };
  private readonly nudged: Places = { strokes: [], azimuth: [], orientation: [] };
  private readonly shifted: boolean;

  /** @param offsets lap turns that other stints have added before each occurrence; left out when there are none */
  constructor(
    private readonly pattern: Pattern,
    private readonly offsets?: Float64Array,
  ) {
    const { strokes, turns, nudgeEvery, clockEvery } = pattern;
    this.period = periodStrokes(nudgeEvery, clockEvery);
    this.periods = strokes / this.period;
    this.azimuthStep = ((turns * this.period) % strokes) / strokes;
    this.orientationStep = lapOrientation(pattern, this.period) % 1;
    this.shifted = offsets?.some((offset) => offset !== 0) ?? false;
    for (let r = 0; r < Math.min(this.period, strokes); r++) {
      const places = nudgeEvery > 0 && (r + 1) % nudgeEvery === 0 ? this.nudged : this.plain;
      places.strokes.push(r);
      places.azimuth.push(((turns * r) % strokes) / strokes);
      places.orientation.push(lapOrientation(pattern, r) % 1);
    }
  }

  /** Whether there are strokes that are nudged, or that are not. */
  has(nudged: boolean): boolean {
    return (nudged ? this.nudged : this.plain).strokes.length > 0;
  }

  /** Share of order (q, h) that these strokes print, 0..1. */
  share(nudged: boolean, q: number, h: number): number {
    if (h !== 0 && this.shifted) return this.shareOverOccurrences(nudged, q, h);
    const { turns, lapTurns, strokes } = this.pattern;
    const closed = Number.isInteger(this.periods) && (h === 0 || Number.isInteger(lapTurns));
    if (closed && (q * turns + h * lapTurns) % this.periods !== 0) return 0;
    this.sum(nudged, q, h, 0, strokes);
    return this.count === 0 ? 0 : Math.min(1, Math.hypot(this.re, this.im) / this.count);
  }

  /** Result of `sum`. */
  private re = 0;
  private im = 0;
  private count = 0;

  /** Sum over the strokes from..to of the group's count: for each place in the period a geometric sum over its repeats. */
  private sum(nudged: boolean, q: number, h: number, from: number, to: number): void {
    const places = nudged ? this.nudged : this.plain;
    const { period } = this;
    const advance = q * this.azimuthStep + h * this.orientationStep;
    this.re = 0;
    this.im = 0;
    this.count = 0;
    for (let i = 0; i < places.strokes.length; i++) {
      const r = places.strokes[i] as number;
      const skipped = from > r ? Math.ceil((from - r) / period) : 0;
      const count = Math.ceil((to - r) / period) - skipped;
      if (count <= 0) continue;
      const start = q * (places.azimuth[i] as number) + h * (places.orientation[i] as number);
      const phase = 2 * Math.PI * (start + (skipped + (count - 1) / 2) * advance);
      const size = geometricSum(count, advance);
      this.re += size * Math.cos(phase);
      this.im += size * Math.sin(phase);
      this.count += count;
    }
  }

  /** When other stints turn the lap between the occurrences: each occurrence comes with a phase of its own. */
  private shareOverOccurrences(nudged: boolean, q: number, h: number): number {
    const { strokes, occurrences } = this.pattern;
    const each = strokes / occurrences;
    const advance = q * this.azimuthStep + h * this.orientationStep;
    const byResidue = new Map<number, [re: number, im: number, count: number]>();
    let [re, im, total] = [0, 0, 0];
    for (let o = 0; o < occurrences; o++) {
      const residue = (o * each) % this.period;
      let part = byResidue.get(residue);
      if (!part) {
        this.sum(nudged, q, h, residue, residue + each);
        part = [this.re, this.im, this.count];
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
