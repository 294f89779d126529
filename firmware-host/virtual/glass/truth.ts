/**
 * What nobody at the virtual stand is told: how the virtual glass really is and wears. The forecast assumes one coefficient, a
 * lap that stands square, and a rim like every other zone; here all of that is a little wrong, as it is on iron.
 */
export interface GlassTruth {
  /** Coefficient of the worn-in lap, 1/Pa. */
  kPerPa: number;
  /** Pressure at the lap's outer rim over that at its middle, less 1: the lap leans outward where positive. */
  radialTilt: number;
  /** How much more the very rim of the glass wears than its place would, and over how many mm inward that fades. */
  rim: { more: number; overMm: number };
  /** A fresh lap cuts (1 + atFirst) as fast; fades with `minutes` of work. */
  breakIn: { atFirst: number; minutes: number };
  /** Rises and falls twice round the glass; from high to low at the rim of the clear aperture. Strokes do not change it. */
  astigmatism: { pvNm: number; highAlongDeg: number };
  /** Bulge of a glass just worked, from its middle to its rim after best focus; fades with `minutes` of rest. Null: none. */
  heat: { bulgeNm: number; minutes: number } | null;
}

/** Nothing hidden: a glass that wears as the forecast says. */
export function plainTruth(kPerPa: number): GlassTruth {
  return {
    kPerPa,
    radialTilt: 0,
    rim: { more: 0, overMm: 8 },
    breakIn: { atFirst: 0, minutes: 30 },
    astigmatism: { pvNm: 0, highAlongDeg: 0 },
    heat: null,
  };
}

/** Uniform in [0, 1). */
export type Random = () => number;

/**
 * A hidden truth near what the books say: coefficient off by up to 40 % either way, tilt to 10 %, a rim that wears up to 15 %
 * more, a lap that wears in, a little astigmatism. `kPerPa` is what the books say.
 */
export function drawTruth(random: Random, kPerPa: number): GlassTruth {
  const within = (range: number): number => range * (2 * random() - 1);
  return {
    kPerPa: kPerPa * (1 + within(0.4)),
    radialTilt: within(0.1),
    rim: { more: 0.15 * random(), overMm: 8 },
    breakIn: { atFirst: within(0.1), minutes: 30 },
    astigmatism: { pvNm: 15 * random(), highAlongDeg: 180 * random() },
    heat: null,
  };
}

/** Coefficient of a lap that has worked for so many minutes. */
export function coefficientAt(truth: GlassTruth, minutes: number): number {
  return truth.kPerPa * (1 + truth.breakIn.atFirst * Math.exp(-minutes / truth.breakIn.minutes));
}

/** Normal deviate (Box & Muller 1958). */
export function normal(random: Random): number {
  return Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
}
