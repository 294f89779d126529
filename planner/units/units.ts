/**
 * The units people may write, by the kind of thing they measure. Every factor is a ratio of two whole numbers where the
 * unit allows it, so that "3.00 in" becomes 76.2 mm and not 76.19999999999999.
 *
 * Sources: inch, pound-force and kilogram-force are exact by definition (international inch 25.4 mm, 1959; standard
 * gravity 9.80665 m/s2, 3rd CGPM 1901; pound 0.45359237 kg). psi follows from them: 4.4482216152605 N / 645.16 mm2.
 */

/** value in the kind's own unit = (written - zero) * times / over */
export interface Unit {
  times: number;
  over: number;
  /** What is written where the kind's own unit has its nought; only temperatures have one. */
  zero?: number;
}

interface KindOfQuantity {
  /** The unit values are kept in after reading. */
  base: string;
  /** How a person would call it, with article. */
  words: string;
  units: Record<string, Unit>;
  /** Units shown in complaints and offered by editors; the rest are spellings of these. */
  shown: readonly string[];
}

const unit = (times: number, over = 1): Unit => ({ times, over });
const ONE = unit(1);

const NEWTON_PER_PSI_MM2 = unit(4.4482216152605e6, 645.16);

/** What can be measured. Kinds counted without a unit (turns, strokes, share) also accept a bare number. */
export const KINDS = {
  length: {
    base: 'mm',
    words: 'a length',
    units: {
      nm: unit(1, 1_000_000),
      um: unit(1, 1000),
      mm: ONE,
      cm: unit(10),
      m: unit(1000),
      in: unit(254, 10),
      inch: unit(254, 10),
      inches: unit(254, 10),
    },
    shown: ['mm', 'cm', 'm', 'in'],
  },
  angle: {
    base: 'deg',
    words: 'an angle',
    units: {
      deg: ONE,
      degree: ONE,
      degrees: ONE,
      '°': ONE,
      rad: unit(180, Math.PI),
      turn: unit(360),
      turns: unit(360),
    },
    shown: ['deg', 'rad', 'turns'],
  },
  turntableSpeed: {
    base: 'rpm',
    words: 'a turntable speed',
    units: {
      rpm: ONE,
      'turns/min': ONE,
      'turn/min': ONE,
      'turns/s': unit(60),
      'turn/s': unit(60),
      'deg/s': unit(1, 6),
    },
    shown: ['rpm', 'turns/min', 'deg/s'],
  },
  rate: {
    base: '/min',
    words: 'a stroke rate (double strokes)',
    units: { '/min': ONE, 'strokes/min': ONE, 'per min': ONE, '/s': unit(60), 'strokes/s': unit(60) },
    shown: ['/min', '/s'],
  },
  duration: {
    base: 's',
    words: 'a duration',
    units: { ms: unit(1, 1000), s: ONE, sec: ONE, min: unit(60), h: unit(3600) },
    shown: ['s', 'min', 'h', 'ms'],
  },
  turns: { base: 'turns', words: 'a number of turns', units: { '': ONE, turn: ONE, turns: ONE }, shown: ['turns'] },
  strokes: {
    base: 'strokes',
    words: 'a number of strokes',
    units: { '': ONE, stroke: ONE, strokes: ONE },
    shown: ['strokes'],
  },
  share: { base: '', words: 'a share', units: { '': ONE, '%': unit(1, 100) }, shown: ['%'] },
  force: {
    base: 'N',
    words: 'a force',
    units: {
      N: ONE,
      kgf: unit(980_665, 100_000),
      gf: unit(980_665, 100_000_000),
      lbf: unit(44_482_216_152_605, 10_000_000_000_000),
    },
    shown: ['N', 'kgf', 'gf', 'lbf'],
  },
  pressure: {
    base: 'Pa',
    words: 'a pressure',
    units: { Pa: ONE, hPa: unit(100), mbar: unit(100), kPa: unit(1000), bar: unit(100_000), psi: NEWTON_PER_PSI_MM2 },
    shown: ['Pa', 'kPa', 'psi', 'mbar'],
  },
  temperature: {
    base: 'C',
    words: 'a temperature',
    units: {
      C: ONE,
      '°C': ONE,
      F: { times: 5, over: 9, zero: 32 },
      '°F': { times: 5, over: 9, zero: 32 },
      K: { times: 1, over: 1, zero: 273.15 },
    },
    shown: ['C', 'F', 'K'],
  },
  slideSpeed: {
    base: 'mm/s',
    words: 'a speed of a slide',
    units: { 'mm/s': ONE, 'cm/s': unit(10), 'm/s': unit(1000), 'in/s': unit(254, 10), 'mm/min': unit(1, 60) },
    shown: ['mm/s', 'm/s', 'in/s'],
  },
  slideAcceleration: {
    base: 'mm/s2',
    words: 'an acceleration of a slide',
    units: { 'mm/s2': ONE, 'm/s2': unit(1000), 'in/s2': unit(254, 10) },
    shown: ['mm/s2', 'm/s2', 'in/s2'],
  },
  spinSpeed: {
    base: 'turns/s',
    words: 'a turning speed',
    units: { 'turns/s': ONE, 'turn/s': ONE, rpm: unit(1, 60), 'turns/min': unit(1, 60), 'deg/s': unit(1, 360) },
    shown: ['turns/s', 'rpm', 'deg/s'],
  },
  spinAcceleration: {
    base: 'turns/s2',
    words: 'a turning acceleration',
    units: { 'turns/s2': ONE, 'turn/s2': ONE, 'deg/s2': unit(1, 360) },
    shown: ['turns/s2', 'deg/s2'],
  },
  stepsPerMm: {
    base: '/mm',
    words: 'a number of steps in a length',
    units: { '/mm': ONE, 'steps/mm': ONE, '/in': unit(10, 254), 'steps/in': unit(10, 254) },
    shown: ['/mm', '/in'],
  },
  stepsPerTurn: {
    base: '/turn',
    words: 'a number of steps in a turn',
    units: { '/turn': ONE, 'steps/turn': ONE, '/deg': unit(360), 'steps/deg': unit(360) },
    shown: ['/turn', '/deg'],
  },
  frequency: { base: 'Hz', words: 'a frequency', units: { Hz: ONE, kHz: unit(1000) }, shown: ['Hz', 'kHz'] },
} as const satisfies Record<string, KindOfQuantity>;

export type Kind = keyof typeof KINDS;

/** The kind's description with its units as a plain record (the literal types above are for `Kind` only). */
export function kindOf(kind: Kind): KindOfQuantity {
  return KINDS[kind];
}

/** Units that weigh instead of pressing; people write them where a force is wanted. */
export const MASS_UNITS: ReadonlySet<string> = new Set(['g', 'kg', 'lb', 'lbs', 'oz']);
