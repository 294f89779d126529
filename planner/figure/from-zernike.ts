/** What a list of Zernike polynomials says beside the mean profile. */
import type { Astigmatism, ZernikeMeasurement } from './types';
import { zernikeValue } from './zernike';

const DIRECTIONS = 360;

export function asymmetryOf(measurement: ZernikeMeasurement): {
  astigmatism: Astigmatism | null;
  otherAsymmetryRmsNm: number;
} {
  const { terms, diameterMm, glass } = measurement;
  const twofold = terms.filter((term) => Math.abs(term.m) === 2 && term.coefficientNm !== 0);
  // Tilt (n = 1) is how the glass stood, not its figure.
  const others = terms.filter((term) => term.m !== 0 && Math.abs(term.m) !== 2 && term.n > 1);
  const otherAsymmetryRmsNm = Math.sqrt(others.reduce((sum, term) => sum + term.coefficientNm ** 2, 0));
  if (twofold.length === 0) return { astigmatism: null, otherAsymmetryRmsNm };
  const rho = Math.min(1, glass.clearApertureMm / diameterMm);
  let highest = Number.NEGATIVE_INFINITY;
  let lowest = Number.POSITIVE_INFINITY;
  let highAlongDeg = 0;
  for (let i = 0; i < DIRECTIONS; i++) {
    const theta = (i * Math.PI) / DIRECTIONS;
    const height = twofold.reduce((sum, term) => sum + term.coefficientNm * zernikeValue(term, rho, theta), 0);
    lowest = Math.min(lowest, height);
    if (height > highest) {
      highest = height;
      highAlongDeg = (i * 180) / DIRECTIONS;
    }
  }
  return {
    astigmatism: { surfacePvNm: highest - lowest, sigmaNm: 0, highAlongDeg, testerApart: false },
    otherAsymmetryRmsNm,
  };
}
