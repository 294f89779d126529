/**
 * The loop as the pages drive it, on one logbook: read the virtual glass, keep it, run the demo on the virtual stand, read it again, learn.
 * What is learned is held against the truth that nobody in the loop sees.
 */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, it } from 'vitest';
import { EvidenceBook, recipeOf } from '../../firmware-host/logbook/evidence';
import { Logbook } from '../../firmware-host/logbook/logbook';
import { describeRun, LogbookRecorder } from '../../firmware-host/logbook/recorder';
import { VirtualRun } from '../../firmware-host/run/virtual-run';
import { WorkbookKeeper } from '../../firmware-host/server/workbook';
import { VirtualGlasses } from '../../firmware-host/virtual/glass/glasses';
import { coefficientAt } from '../../firmware-host/virtual/glass/truth';
import { VirtualGlass } from '../../firmware-host/virtual/glass/virtual-glass';
import { BEFORE_LEARNING } from '../../planner/learn/combine';
import { readProgram } from '../../planner/program/read-program';
import { readStand } from '../../planner/stand/read-stand';
import { compileProgram } from '../../planner/steps/summary';
import { demoShelf, exampleText } from '../program/reading';
import { ask, planOf, START } from '../run/support';
import { seeded } from '../support/random';

const shelf = demoShelf();
const stand = readStand(exampleText('stand.yaml'), 'stand.yaml').stand!;
const programText = exampleText('raised-ring.yaml');
const program = readProgram(programText, 'raised-ring.yaml', shelf).program!;

/** Wears about a quarter less than the books say. */
const SEED = 8;
const home = mkdtempSync(join(tmpdir(), 'wholeturn-loop-'));
afterAll(() => rmSync(home, { recursive: true }));

it('finds the hidden coefficient within its own doubt', async () => {
  const file = join(home, 'logbook.db');
  const glasses = new VirtualGlasses(seeded(SEED), BEFORE_LEARNING.kPerPa);
  const keeper = WorkbookKeeper.open(file);
  const atHand = { shelf, stand };
  const noise = seeded(12);
  const measured = (): number => {
    const data = glasses.of(program.glass);
    const read = keeper.readVirtualGlass({ ask: 'readVirtualGlass', takes: 9, diameters: 3, data }, noise);
    if (!read.ok) throw new Error(read.words);
    const kept = keeper.keepMeasurement(read.text, atHand, 1);
    if (!kept.ok) throw new Error(kept.words);
    return kept.id;
  };

  const beforeId = measured();
  const { glass, truth, state } = glasses.of(program.glass);
  const laid = new VirtualGlass(glass, truth, state);
  const logbook = Logbook.open(file);
  const { summary } = compileProgram(program, stand);
  const described = describeRun({ program, programText, stand }, summary!, { virtual: true, kind: 'rehearsal' });
  const recorder = new LogbookRecorder(logbook, described, () => 2);
  const begun = { plan: planOf(program, stand), recorder, newRunId: () => 'demo', bootId: 7, linkId: 9 };
  const run = await VirtualRun.begin(begun);
  run.lay(laid);
  await ask(run, { kind: 'command', command: 'clear' }, 'Stopped');
  await ask(run, { kind: 'command', command: 'reset' }, 'Idle');
  await ask(run, START, 'Complete', 2000);
  await run.conductor.close();
  logbook.close();
  glasses.keep(glass, laid.state);
  const afterId = measured();

  const workbook = keeper.workbook();
  if (!workbook.ok) throw new Error(workbook.words);
  expect(workbook.measurements.map(({ virtual }) => virtual)).toEqual([true, true]);
  expect(workbook.runs).toMatchObject([{ id: 'demo', turnsWalked: 33, lapId: 'star-80', virtual: true }]);
  const learned = keeper.learn({ runId: 'demo', beforeId, afterId }, atHand, 3);
  keeper.close();
  if (!learned.ok) throw new Error(learned.words);
  const book = EvidenceBook.open(file);
  const [taught] = book.of(recipeOf({ program, virtual: true }));
  book.close();
  // 33 turns at 2.5 a minute, and the ramps; how fast the rehearsal was does not matter.
  expect(taught!.minutes / 13.2).toBeCloseTo(1, 2);
  const { ratio, kPerPa, kSigma } = learned.report;
  // The lap has worked for 13 minutes: the coefficient in the middle of that.
  const hidden = coefficientAt(truth, 6.6);
  expect(Math.abs(hidden / BEFORE_LEARNING.kPerPa - 1)).toBeGreaterThan(0.1);
  expect(Math.abs(ratio! / (hidden / BEFORE_LEARNING.kPerPa) - 1)).toBeLessThan(0.15);
  expect(Math.abs(kPerPa / hidden - 1)).toBeLessThan(2 * kSigma);
  expect(kSigma).toBeLessThan(0.3);
});
