/** Runs a program on the virtual stand, with the controller's own code, from switching on to the lap up again. */
import { randomInt } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { RemovalRefused } from '../../planner/removal/refusal';
import { compileProgram } from '../../planner/steps/summary';
import { formatDuration } from '../../planner/units/format';
import { ModelKit } from '../accessories/model-kit';
import { type PinBoard, readPins } from '../controller/pin-table';
import { imageFile, standImage } from '../controller/stand-image';
import { defaultLogbookFile } from '../logbook/database';
import { Logbook } from '../logbook/logbook';
import { describeRun, LogbookRecorder, runIdAt } from '../logbook/recorder';
import { attendVirtual } from '../run/attended';
import type { Order } from '../run/conductor';
import { planRun, type RunPlan } from '../run/plan';
import type { RunReport, RunState } from '../run/types';
import { leftStanding, VirtualRun } from '../run/virtual-run';
import { RealClock } from '../stand/clock';
import { ChipStand, type ChipStandOptions } from '../virtual/chip-stand';
import { plainTruth } from '../virtual/glass/truth';
import { VirtualGlass } from '../virtual/glass/virtual-glass';
import { PROGRAM_HELP, PROGRAM_OPTIONS, type ProgramFiles, readProgramFiles } from './files';
import { hanging, programPage } from './program-words';
import { progressLine } from './progress';
import { reportPage } from './report-page';
import { type Call, InputError, MachineError, usageComplaint, type Verb } from './verb';
import { WAY_HELP, WAY_OPTIONS, type Way, wayOf } from './way';

/** Times real time; null: as fast as this machine can. */
type Speed = number | null;

const PROGRESS_SECONDS = 0.1;
const VIRTUAL_HAND_SECONDS = 20;

export const rehearse: Verb = {
  summary: 'Runs a stroke program on the virtual stand; nothing of iron moves.',
  usage:
    'rehearse PROGRAM [--air] [--pace N] [--speed fast|real|N] [--chip atmega2560|atmega328p] [--shelf FILE] [--stand FILE] [--logbook FILE] [--json]',
  help: [
    ...PROGRAM_HELP,
    ...WAY_HELP,
    '--speed       fast (as fast as this machine can, the default), real, or N times real time',
    '--chip        on the image that is flashed, on an emulated chip with an emulated stand around it: about as slow as iron',
    '--logbook     where to keep it, marked virtual; otherwise $WHOLETURN_HOME or ~/.wholeturn, logbook.db',
  ],
  options: {
    ...PROGRAM_OPTIONS,
    ...WAY_OPTIONS,
    speed: { type: 'string' },
    chip: { type: 'string' },
    logbook: { type: 'string' },
  },
  positionals: [1, 1],
  async run(call: Call): Promise<number> {
    const way = wayOf(call);
    const speed = readSpeed(call.values.speed);
    const chip = readChip(call.values.chip);
    const files = readProgramFiles(call);
    const { program, stand } = files;
    if (chip !== null) ofThisBoard(chip, files);
    const { summary, complaints } = compileProgram(program, stand);
    const plan = planRun(program, stand);
    if (summary === null || Array.isArray(plan)) throw new InputError(complaints);
    const { logbook: named } = call.values;
    const logbook = Logbook.open(typeof named === 'string' ? named : defaultLogbookFile(call.environment));
    try {
      if (!call.json) call.out(`${BANNER}\n\n${programPage(program, stand, summary)}\n`);
      if (chip !== null) call.err(`${slowWords(chip, summary.durationSeconds / way.pace)}\n`);
      const recorder = new LogbookRecorder(
        logbook,
        describeRun(files, summary, { virtual: true, kind: 'rehearsal' }),
        Date.now,
      );
      const { report, deepest } = await walk(call, plan, recorder, way, speed, chip && chipOf(chip, files));
      if (call.json) call.out(`${JSON.stringify({ ...report, virtualGlass: deepest })}\n`);
      else {
        const where = `on the virtual stand${chip === null ? '' : `, with an emulated ${chip.chip}`}`;
        const page = { plan, summary, report, where, logbookFile: logbook.file };
        call.out(`${reportPage(page)}${glassWords(plan, deepest)}\n${BANNER}\n`);
        if (report.state === 'Complete') call.out(nextWords(files));
      }
      return report.state === 'Complete' ? 0 : 2;
    } finally {
      logbook.close();
    }
  },
};

const BANNER = '*** VIRTUAL STAND: a rehearsal. Nothing of iron moves and no glass is touched. ***';

/** What a person does after a rehearsal that went well. */
function nextWords({ program, stand, standFile }: ProgramFiles): string {
  if (stand.virtual)
    return `Next: npm start -- ${program.file}, to watch it in the browser; for a stand of iron begin with hardware-notes/README.md.\n`;
  return `Next: npm run -s wholeturn -- run ${program.file} --stand ${standFile} --port PORT. There things move.\n`;
}

function readSpeed(value: string | boolean | undefined): Speed {
  if (value === undefined || value === 'fast') return null;
  const factor = value === 'real' ? 1 : Number(value);
  if (Number.isFinite(factor) && factor > 0 && factor <= 1e6) return factor;
  throw usageComplaint(`--speed is fast, real, or a number above 0 (so many times real time), not "${value}".`);
}

function readChip(value: string | boolean | undefined): PinBoard | null {
  if (value === undefined) return null;
  const boards = readPins();
  const found = boards.find(({ chip }) => chip.toLowerCase() === value);
  if (found !== undefined) return found;
  throw usageComplaint(`--chip is ${boards.map(({ chip }) => chip.toLowerCase()).join(' or ')}, not "${value}".`);
}

/** Throws InputError where the stand has the other board. */
function ofThisBoard({ board, chip }: PinBoard, { stand, standFile }: ProgramFiles): void {
  if (stand.board === undefined || stand.board === board) return;
  const right = readPins()
    .find((one) => one.board === stand.board)!
    .chip.toLowerCase();
  throw usageComplaint(
    `--chip ${chip.toLowerCase()} is the chip of the ${board} board, but ${standFile} says "board: ${stand.board}". Write --chip ${right}.`,
  );
}

/** Measured: 49 s of computing on one core of a small server for a program of 97 s with its start. */
function slowWords({ chip }: PinBoard, walkSeconds: number): string {
  return (
    `Walking on an emulated ${chip} takes up to about as long as on iron, here ${formatDuration(walkSeconds)}; ` +
    'on a slow or busy computer several times that.'
  );
}

/** With the image that is flashed: the stand's own, where its file turns pins of this board round. Throws MachineError where that is not built. */
function chipOf({ board }: PinBoard, { stand, standFile }: ProgramFiles): Pick<ChipStandOptions, 'board' | 'image'> {
  const image = standImage(board, stand.board === board ? stand.pins : {});
  if (!image.own) return { board };
  try {
    return { board, image: { hex: readFileSync(imageFile(image, standFile), 'utf8'), pins: image.board } };
  } catch (error) {
    throw new MachineError((error as Error).message);
  }
}

/** Where a level virtual glass lost most, in the mean round it. */
interface Deepest {
  peakNm: number;
  atMm: number;
}

/** Level and without anything hidden, so that it can be held against the forecast; null where the lap cannot be put on it. */
function layLevelGlass(run: Pick<VirtualRun, 'lay'>, { program, kPerPa }: RunPlan): VirtualGlass | null {
  const glass = new VirtualGlass(program.glass, plainTruth(kPerPa), () => 0);
  try {
    run.lay(glass);
    return glass;
  } catch (error) {
    if (error instanceof RemovalRefused) return null;
    throw error;
  }
}

/** Rings are 1 mm apart. */
function deepestOf(glass: VirtualGlass): Deepest {
  const heightNm = glass.meanNm();
  const atMm = heightNm.indexOf(Math.min(...heightNm));
  return { peakNm: -heightNm[atMm]!, atMm };
}

function glassWords({ kPerPa }: RunPlan, deepest: Deepest | null): string {
  if (deepest === null) return '';
  const words =
    `A level virtual glass was worn by the steps that were made: at most ${deepest.peakNm.toFixed(1)} nm, at ${deepest.atMm} mm, ` +
    `with ${kPerPa.toExponential(2)} /Pa. Compare "predict".`;
  return `${hanging('  ', words)}\n`;
}

/** From switching on to the end; the hands that a person would lend are virtual too. */
async function walk(
  call: Call,
  plan: RunPlan,
  recorder: LogbookRecorder,
  way: Way,
  speed: Speed,
  chip: Pick<ChipStandOptions, 'board' | 'image'> | null,
): Promise<{ report: RunReport; deepest: Deepest | null }> {
  const newRunId = (): string => runIdAt(Date.now(), randomInt(0x10000));
  const options = { plan, recorder, newRunId, linkId: randomInt(1, 0x4000) };
  const run =
    chip === null
      ? await VirtualRun.begin({ ...options, bootId: randomInt(1, 0x10000) })
      : await VirtualRun.beginOn(
          options,
          new ChipStand({ stand: plan.stand, start: leftStanding(plan.stand), ...chip }),
        );
  const { conductor } = run;
  const glass = layLevelGlass(run, plan);
  const attendant = attendVirtual(plan, run, new ModelKit());
  const wall = new RealClock();
  const draw = call.terminal ? progressDrawer(call, () => progressLine(plan, conductor.snapshot())) : () => {};
  const calledOff = call.onInterrupt(() => conductor.order({ kind: 'command', command: 'stop' }));
  const until = async (done: () => boolean): Promise<void> => {
    const drawn = (): boolean => {
      draw();
      return done();
    };
    if (speed !== null) await run.untilAtSpeed(drawn, speed, wall);
    // In pieces, so that an interrupt gets its turn.
    else while (!(await run.until(drawn, 5))) await new Promise(setImmediate);
  };
  const reached = (...states: RunState[]): Promise<void> => until(() => states.includes(conductor.snapshot().state));
  try {
    conductor.setPace(way.pace);
    for (const [order, state] of first(way)) {
      conductor.order(order);
      await reached(state, 'Aborted', 'Stopped');
    }
    for (;;) {
      await reached('Complete', 'Stopped', 'Aborted', 'Suspended');
      if (conductor.snapshot().state !== 'Suspended') break;
      const due = run.seconds + VIRTUAL_HAND_SECONDS;
      await until(() => run.seconds >= due);
      conductor.order({ kind: 'command', command: 'unsuspend' });
    }
    return { report: conductor.result(), deepest: glass && deepestOf(glass) };
  } finally {
    calledOff();
    if (call.terminal) call.err('\r\x1b[K');
    attendant?.close();
    await conductor.close();
  }
}

const first = ({ air }: Way): readonly [Order, RunState][] => [
  [{ kind: 'command', command: 'clear' }, 'Stopped'],
  [{ kind: 'command', command: 'reset' }, 'Idle'],
  [{ kind: 'command', command: 'start', from: 'beginning', air }, 'Execute'],
];

function progressDrawer(call: Call, line: () => string): () => void {
  const wall = new RealClock();
  let last = 0;
  return () => {
    if (wall.now() - last < PROGRESS_SECONDS) return;
    last = wall.now();
    call.err(`\r\x1b[K${line()}`);
  };
}
