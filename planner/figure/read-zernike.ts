/** Lists of Zernike coefficients: order, scale, what they describe and on which circle must all be said. */
import { isScalar } from 'yaml';
import { shown } from '../reading/complaints';
import { complain, type Field, type Spot, writtenText } from '../reading/fields';
import { keysOf } from '../reading/groups';
import type { Shelf } from '../shelf/types';
import { zernikeGroup } from './measurement-fields';
import type { ZernikeMeasurement } from './types';
import { rmsFactor, termOf } from './zernike';

interface Coefficient {
  index: number;
  value: number;
  inWaves: boolean;
  spot: Spot;
}

/** Beyond this degree polynomials follow noise; 40 is also as far as the values are checked. */
const MOST_DEGREE = 40;
const UNITS: Record<string, number> = { nm: 1, um: 1000, waves: 1, wave: 1 };

export const coefficientsField: Field<Coefficient[]> = {
  schema: {
    type: 'object',
    propertyNames: { pattern: '^[0-9]+$' },
    additionalProperties: { type: 'string', examples: ['-12.5 nm'] },
  },
  read(spot) {
    const keys = keysOf(spot, 'the coefficients');
    if (!keys) return undefined;
    let wrong = keys.wrong;
    const out: Coefficient[] = [];
    for (const [name, child] of keys.byKey) {
      const one = coefficient(name, child.spot, child.keyOffset);
      if (one) out.push(one);
      else wrong = true;
    }
    if (!wrong && out.length === 0) return complain(spot, 'There is no coefficient here; write e.g. 11: -12.5 nm.');
    const first = out[0];
    for (const one of out) {
      if (one.inWaves !== first!.inWaves) {
        complain(one.spot, 'Some coefficients are in waves, some are not. Write all in one unit.');
        wrong = true;
      }
    }
    return wrong ? undefined : out;
  },
};

function coefficient(name: string, spot: Spot, keyOffset: number): Coefficient | undefined {
  if (!/^\d{1,4}$/.test(name)) {
    spot.complaints.add(keyOffset, spot.field, `"${shown(name)}" is not the number of a polynomial.`);
    return undefined;
  }
  const text = isScalar(spot.node) ? (writtenText(spot.node) ?? '') : '';
  const parts = /^\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3})?)\s*([a-z]+)\s*$/.exec(text);
  const unit = parts?.[2] ?? '';
  const value = parts && Object.hasOwn(UNITS, unit) ? Number(parts[1]) * UNITS[unit]! : Number.NaN;
  if (!Number.isFinite(value)) {
    return complain(spot, `"${shown(text)}" is not a height with its unit; write e.g. -12.5 nm or 0.03 waves.`);
  }
  return { index: Number(name), value, inWaves: unit.startsWith('wave'), spot };
}

export function readZernike(spot: Spot, file: string, shelf: Shelf): ZernikeMeasurement | undefined {
  const parts = zernikeGroup(shelf, coefficientsField).readParts(spot);
  if (!parts?.complete) return undefined;
  const { complete, spots } = parts;
  const { order, glass, unitCircle } = complete;
  if (complete.coefficients[0]!.inWaves && complete.wavelength === undefined) {
    return complain(spot, 'Coefficients in waves mean nothing without the light: give wavelength, e.g. 632.8 nm.');
  }
  if (unitCircle > 1.5 * glass.diameterMm || unitCircle < 0.3 * glass.clearApertureMm) {
    return complain(
      spots.unitCircle ?? spot,
      `A unit circle of ${unitCircle} mm does not go with a glass of ${glass.diameterMm} mm. It is a diameter.`,
    );
  }
  const wavelengthNm = (complete.wavelength ?? 550e-6) * 1e6;
  const perUnit = complete.of === 'wavefront' ? 0.5 : 1;
  const terms: ZernikeMeasurement['terms'][number][] = [];
  for (const { index, value, inWaves, spot: at } of complete.coefficients) {
    const term = termOf(order, index);
    if (!term || term.n > MOST_DEGREE) {
      const words = term ? `its degree ${term.n} is beyond ${MOST_DEGREE}` : `the ${order} order has no such number`;
      return complain(at, `Polynomial ${index}: ${words}.`);
    }
    const heightNm = value * (inWaves ? wavelengthNm : 1) * perUnit;
    terms.push({ ...term, coefficientNm: complete.scale === 'rms' ? heightNm : heightNm / rmsFactor(term) });
  }
  return {
    kind: 'zernike',
    file,
    glass,
    wavelengthNm,
    virtual: complete.virtual ?? false,
    markOnStandDeg: complete.markOnStand ?? null,
    diameterMm: unitCircle,
    terms,
  };
}
