import { describe, expect, it } from 'vitest';
import { askedConic } from '../../planner/figure/conic';
import { reduce } from '../../planner/figure/reduce';
import type { FindingKind, KnifeEdgeMeasurement, ZernikeMeasurement } from '../../planner/figure/types';
import { seeded } from '../support/random';
import { equalWindows, type HeightError, normal, readingsOf, rings, testGlass } from './synthetic';

const glass = testGlass();
const windows = equalWindows(12, 0, 100);

function measured(error: HeightError, noiseMm = 0.005): KnifeEdgeMeasurement {
  return readingsOf(glass, askedConic(glass), error, windows, { noiseMm, random: seeded(3) });
}

function kinds(measurement: KnifeEdgeMeasurement): FindingKind[] {
  return reduce(measurement).findings.map((finding) => finding.kind);
}

describe('findings', () => {
  it('lead with "The zone at 62 mm stands 48 nm high"', () => {
    const [first] = reduce(measured(rings([{ radiusMm: 62, widthMm: 40, heightNm: 48 }]))).findings;
    expect(first?.kind).toBe('raised zone');
    expect(first?.words).toMatch(/^The zone at 6[0-4] mm stands (4[4-9]|5[0-2]) nm high/);
    expect(Math.abs(first!.radiusMm! - 62)).toBeLessThan(2);
    expect(Math.abs(first!.heightNm! - 48)).toBeLessThan(4);
  });

  it('name a low zone, and not the shallow dips a best fit leaves beside it', () => {
    const { findings } = reduce(measured(rings([{ radiusMm: 45, widthMm: 36, heightNm: -60 }])));
    expect(findings[0]?.words).toMatch(/^The zone at 4[3-7] mm lies (5[5-9]|6[0-5]) nm low/);
    expect(findings.filter((finding) => finding.kind === 'raised zone')).toEqual([]);
  });

  it('name the middle by its name', () => {
    const { findings } = reduce(measured(rings([{ radiusMm: 0, widthMm: 60, heightNm: 30 }])));
    // Two mirrored halves make 60 nm there.
    expect(findings[0]?.words).toMatch(/^The middle stands (5|6)\d nm high/);
  });

  it('find a turned-down edge', () => {
    const turned = {
      heightNm: (r: number) => (r > 88 ? -0.6 * (r - 88) ** 2 : 0),
      slopeNmPerMm: (r: number) => (r > 88 ? -1.2 * (r - 88) : 0),
    };
    const edge = reduce(measured(turned)).findings.find((finding) => finding.kind === 'edge');
    expect(edge?.words).toMatch(/^The edge is turned down: the last 12 mm fall by \d+ nm/);
    expect(edge!.heightNm!).toBeLessThan(-60);
    expect(edge!.heightNm!).toBeGreaterThan(-110);
  });

  it('find nothing on a good glass', () => {
    expect(kinds(measured(rings([])))).toEqual(['good', 'too coarse']);
  });

  it('say what is not measured outside the last window', () => {
    const short = readingsOf(glass, askedConic(glass), rings([]), equalWindows(8, 0, 90), {
      noiseMm: 0.005,
      random: seeded(1),
    });
    const figure = reduce(short);
    expect(figure.findings.some(({ words }) => words.startsWith('What lies outside 90 mm is not measured'))).toBe(true);
    expect(figure.area.every((share, i) => share === 0 || figure.radiusMm[i]! <= 90)).toBe(true);
  });

  it('doubt readings that were counted towards the glass', () => {
    const right = measured(rings([]));
    const wrong = {
      ...right,
      takes: [{ ...right.takes[0]!, readingMm: right.takes[0]!.readingMm.map((value) => -value) }],
    };
    expect(kinds(right)).not.toContain('direction');
    expect(kinds(wrong)).toContain('direction');
  });
});

describe('astigmatism', () => {
  const WAVE_8_NM = 550 / 16; // surface of a wavefront of 1/8 wave

  /** Readings along a diameter of a glass whose rim rises and falls twice round. */
  function diameters(anglesDeg: number[], surfacePvNm: number, highAlongDeg: number, turnGlass: boolean, noiseMm = 0) {
    const random = seeded(11);
    const takes = anglesDeg.map((diameterDeg) => {
      const bend = (surfacePvNm / 2 / 100 ** 2) * Math.cos(((diameterDeg - highAlongDeg) * Math.PI) / 90);
      const error = { heightNm: (r: number) => bend * r * r, slopeNmPerMm: (r: number) => 2 * bend * r };
      const { readingMm } = readingsOf(glass, askedConic(glass), error, windows, {}).takes[0]!;
      const noisy = readingMm.map((value) => value + noiseMm * normal(random));
      return { diameterDeg, markOnTesterDeg: turnGlass ? -diameterDeg : 0, atMinutes: null, readingMm: noisy };
    });
    return { ...readingsOf(glass, askedConic(glass), rings([]), windows, { statedMm: 0.01 }), takes };
  }

  it('of 1/8 wave shows as 0.040 mm between the high and the low diameter (moving source, 200 mm, R 2400)', () => {
    const [high, low] = diameters([20, 110], WAVE_8_NM, 20, true).takes;
    for (const [i, value] of low!.readingMm.entries()) {
      expect(Math.abs(value - high!.readingMm[i]! - 0.04)).toBeLessThan(0.0006);
    }
  });

  it.each([0, 20, 45, 77, 130])('along %d degrees is found from three diameters', (highAlongDeg) => {
    const { astigmatism, findings } = reduce(diameters([0, 60, 120], WAVE_8_NM, highAlongDeg, true));
    expect(Math.abs(astigmatism!.surfacePvNm - WAVE_8_NM)).toBeLessThan(0.1);
    const apart = Math.abs(((astigmatism!.highAlongDeg - highAlongDeg + 270) % 180) - 90);
    expect(apart).toBeLessThan(0.5);
    expect(astigmatism!.testerApart).toBe(true);
    expect(findings.find((finding) => finding.kind === 'astigmatism')?.words).toContain('cannot mend it');
  });

  it('is not told from two diameters, which are blind to it at 45 degrees', () => {
    const figure = reduce(diameters([0, 90], WAVE_8_NM, 45, true));
    expect(figure.astigmatism).toBeNull();
  });

  it('leaves the round part alone', () => {
    const round = reduce(diameters([0], 0, 0, true));
    const figure = reduce(diameters([0, 60, 120], 60, 33, true));
    figure.surfaceNm.forEach((height, i) => {
      expect(Math.abs(height - round.surfaceNm[i]!)).toBeLessThan(0.3);
    });
  });

  it('may belong to the tester when the glass was not turned', () => {
    const { astigmatism } = reduce(diameters([0, 60, 120], WAVE_8_NM, 20, false));
    expect(astigmatism!.testerApart).toBe(false);
  });

  it('is told apart from the tester where the glass was turned under fixed diameters', () => {
    // The tester adds its own along its 90 degrees; the line of windows is turned and so is the glass.
    const lines = [0, 60, 120].flatMap((line) => [0, 40, 80].map((mark) => ({ line, mark })));
    const takes = lines.map(({ line, mark }) => {
      const onGlass = line - mark;
      const bendOf = (pvNm: number, deg: number): number => (pvNm / 2 / 100 ** 2) * Math.cos((deg * Math.PI) / 90);
      const bend = bendOf(40, onGlass - 25) + bendOf(90, line - 90);
      const error = { heightNm: (r: number) => bend * r * r, slopeNmPerMm: (r: number) => 2 * bend * r };
      const { readingMm } = readingsOf(glass, askedConic(glass), error, windows, {}).takes[0]!;
      return { diameterDeg: onGlass, markOnTesterDeg: mark, atMinutes: null, readingMm };
    });
    const { astigmatism } = reduce({
      ...readingsOf(glass, askedConic(glass), rings([]), windows, { statedMm: 0.01 }),
      takes,
    });
    expect(Math.abs(astigmatism!.surfacePvNm - 40)).toBeLessThan(0.2);
    expect(Math.abs(astigmatism!.highAlongDeg - 25)).toBeLessThan(0.5);
    expect(astigmatism!.testerApart).toBe(true);
  });

  it('of a noisy round glass is not announced', () => {
    const { findings } = reduce(diameters([0, 60, 120], 0, 0, true, 0.01));
    expect(findings.some((finding) => finding.kind === 'astigmatism')).toBe(false);
  });

  it('in a Zernike list has its height and direction from both terms', () => {
    const list: ZernikeMeasurement = {
      kind: 'zernike',
      file: '',
      glass,
      wavelengthNm: 632.8,
      virtual: false,
      markOnStandDeg: 10,
      diameterMm: 200,
      terms: [
        { n: 2, m: 2, coefficientNm: 3 },
        { n: 2, m: -2, coefficientNm: 4 },
        { n: 3, m: 1, coefficientNm: 12 },
        { n: 1, m: 1, coefficientNm: 500 },
      ],
    };
    const figure = reduce(list);
    // Amplitude sqrt6 x 5 nm, from high to low twice that.
    expect(figure.astigmatism!.surfacePvNm).toBeCloseTo(10 * Math.sqrt(6), 2);
    expect(Math.abs(figure.astigmatism!.highAlongDeg - (Math.atan2(4, 3) * 90) / Math.PI)).toBeLessThan(0.6);
    expect(figure.otherAsymmetryRmsNm).toBe(12);
    expect(figure.findings.some(({ words }) => words.startsWith('12 nm rms'))).toBe(true);
  });
});
