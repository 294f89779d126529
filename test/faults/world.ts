/** What the campaign walks: a stand of few steps and short ways, and programs of one to three turns with every kind of pattern. */
import { planRun, type RunPlan } from '../../firmware-host/run/plan';
import type { StandingStart } from '../../firmware-host/virtual/mechanism';
import type { Program, Stint } from '../../planner/program/types';
import type { Stand } from '../../planner/stand/types';
import { compileProgram, type ProgramSummary } from '../../planner/steps/summary';
import { demoStand, program } from '../support/programs';

/** Four seconds a turn; steps per turn are not whole. */
export const campaignStand: Stand = {
  ...demoStand,
  name: 'Campaign stand',
  axes: {
    turntable: { unit: 'turn', stepsPerUnit: 36_160.5, maxSpeed: 0.26, maxAcceleration: 1.5 },
    stroke: { unit: 'mm', stepsPerUnit: 40, maxSpeed: 400, maxAcceleration: 4000, min: -60, max: 60 },
    radial: { unit: 'mm', stepsPerUnit: 80, maxSpeed: 120, maxAcceleration: 2000, min: 60, max: 120 },
    lapTurn: { unit: 'turn', stepsPerUnit: 4800, maxSpeed: 1.5, maxAcceleration: 12 },
  },
};

/** Near every switch, so that finding the references takes little of the stand's time. */
export const LEFT_STANDING: StandingStart = { turntableTurns: 0.98, lapTurns: 0.97, strokeMm: -59, radialMm: 119 };

export const RPM = 14;
export const QUICK: Partial<Stint> = { turns: 2, strokesPerMinute: 60, lengthMm: 50, rateTolerance: 0.2 };

const PROGRAMS: Program[] = [
  program([QUICK], { title: 'straight', turntableRpm: RPM }),
  program([{ ...QUICK, turns: 3, shape: 'ellipse', widthMm: 12 }], { title: 'ellipse', turntableRpm: RPM }),
  program([{ ...QUICK, nudge: { everyStrokes: 3, byMm: 5 } }], { title: 'nudged', turntableRpm: RPM }),
  program(
    [
      { ...QUICK, turns: 1 },
      { ...QUICK, turns: 2, settingMm: 88, lengthMm: 44 },
    ],
    { title: 'blended', turntableRpm: RPM },
  ),
  program([{ ...QUICK, clocking: { kind: 'steps', everyStrokes: 2, askedDeg: 40, share: 0.6 } }], {
    title: 'clocked',
    turntableRpm: RPM,
  }),
  program([{ ...QUICK, turns: 3, clocking: { kind: 'byHand', everyTurns: 1, byDeg: 90 } }], {
    title: 'clocked by hand',
    turntableRpm: RPM,
  }),
];

export interface Planned {
  plan: RunPlan;
  summary: ProgramSummary;
  /** What the logbook knows the program by. */
  text: string;
}

const planned = new Map<number, Planned>();

/** As short as a walk can be; not drawn, but for what is tried at every byte and row. */
export const SHORT_PROGRAM =
  PROGRAMS.push(program([{ ...QUICK, turns: 1 }], { title: 'short', turntableRpm: RPM })) - 1;
export const PROGRAM_COUNT = SHORT_PROGRAM;

export function plannedProgram(number: number): Planned {
  const known = planned.get(number);
  if (known !== undefined) return known;
  const walked = PROGRAMS[number]!;
  const plan = planRun(walked, campaignStand);
  const { summary } = compileProgram(walked, campaignStand);
  if (Array.isArray(plan) || summary === null)
    throw new Error(`the campaign's program ${number} does not fit its stand`);
  const made = { plan, summary, text: `campaign ${walked.title}` };
  planned.set(number, made);
  return made;
}
