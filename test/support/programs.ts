/** Programs, laps and a stand built by hand for tests; every default can be overridden. */
import type { Program, Stint } from '../../planner/program/types';
import type { Glass, Lap } from '../../planner/shelf/types';
import type { Stand } from '../../planner/stand/types';

export const glass300: Glass = {
  id: 'glass-300',
  title: '300 mm f/5',
  diameterMm: 300,
  clearApertureMm: 296,
  bevelMm: 1,
  holeMm: 0,
  radiusOfCurvatureMm: 3000,
  conicConstant: -1,
  material: 'borosilicate',
  thicknessMm: 40,
};

/** A round lap without facets: it has no orders of its own. */
export const plainLap: Lap = {
  id: 'plain-60',
  title: 'Round 60 mm, plain',
  outline: { shape: 'round', diameterMm: 60 },
  facets: null,
  load: { addedN: 4, lapWeightN: 1, armWeightN: 2 },
  pivotHeightMm: 10,
  friction: 0.3,
  rotation: 'driven',
};

export const starLap = (points: number): Lap => ({
  ...plainLap,
  id: `star-${points}`,
  title: `Star with ${points} points`,
  outline: { shape: 'star', diameterMm: 80, points, depthMm: 15 },
});

/** A straight stroke at 90 mm, 80 mm long, 44 a minute, with nothing else to it. */
export function stint(over: Partial<Stint> = {}): Stint {
  return {
    turns: 6,
    shape: 'straight',
    settingMm: 90,
    lengthMm: 80,
    widthMm: 0,
    sense: 1,
    strokesPerMinute: 44,
    rateTolerance: 0.1,
    nudge: null,
    clocking: { kind: 'none' },
    line: 1,
    group: 0,
    ...over,
  };
}

/** A program of the given stints; stints without a group of their own get one each, lines count up. */
export function program(stints: Partial<Stint>[], over: Partial<Program> = {}): Program {
  return {
    title: 'Test program',
    file: 'test.yaml',
    glass: glass300,
    lap: plainLap,
    slurry: null,
    turntableRpm: 2.5,
    stints: stints.map((part, index) => stint({ line: index + 10, group: 1000 + index, ...part })),
    ...over,
  };
}

/** The numbers of the demo stand. */
export const demoStand: Stand = {
  name: 'Demo stand',
  virtual: true,
  tickHz: 40_000,
  axes: {
    turntable: { unit: 'turn', stepsPerUnit: 144_640.5, maxSpeed: 5 / 60, maxAcceleration: 0.6 },
    stroke: { unit: 'mm', stepsPerUnit: 40, maxSpeed: 400, maxAcceleration: 3000, min: -120, max: 120 },
    radial: { unit: 'mm', stepsPerUnit: 80, maxSpeed: 120, maxAcceleration: 1500, min: 0, max: 180 },
    lapTurn: { unit: 'turn', stepsPerUnit: 9600, maxSpeed: 1.5, maxAcceleration: 8 },
  },
  rampSeconds: 0.5,
  lift: { travelSeconds: 0.8, timeoutSeconds: 3 },
  indexToleranceDeg: 0.5,
  hostSilentMs: 500,
  countdownSeconds: 3,
  commissioned: false,
};
