/** Measurements, what is learned from them, and the virtual glass, as pages ask for them. */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { Logbook } from '../../firmware-host/logbook/logbook';
import { describeRun } from '../../firmware-host/logbook/recorder';
import type { RunReport } from '../../firmware-host/run/types';
import { FOR_EVERYONE, LARGEST_MEASUREMENT_BYTES, readRequest } from '../../firmware-host/server/requests';
import { type AtHand, WorkbookKeeper } from '../../firmware-host/server/workbook';
import { WorkbookThread } from '../../firmware-host/server/workbook-host';
import { VirtualGlasses } from '../../firmware-host/virtual/glass/glasses';
import { readMeasurement } from '../../planner/figure/read-measurement';
import { reduce } from '../../planner/figure/reduce';
import { readProgram } from '../../planner/program/read-program';
import { readStand } from '../../planner/stand/read-stand';
import { demoShelf, exampleText } from '../program/reading';
import { seeded } from '../support/random';
import { askAnything, ServerUnderTest } from './harness';

const shelf = demoShelf();
const stand = readStand(exampleText('stand.yaml'), 'stand.yaml').stand!;
const programText = exampleText('raised-ring.yaml');
const program = readProgram(programText, 'raised-ring.yaml', shelf).program!;
const BEFORE = exampleText('measured/first.yaml');
const AFTER = exampleText('measured/second.yaml');
const AT_HAND: AtHand = { shelf, stand };
const NONE = { turntable: 0, stroke: 0, radial: 0, lapTurn: 0 };

const REPORT: RunReport = {
  state: 'Complete',
  turnsWalked: 33,
  endSteps: NONE,
  travelSteps: NONE,
  slipSteps: 0,
  underruns: 0,
  droopTicks: 0,
  durationSeconds: 33 * 24,
  runId: 'ring',
  worstSlipDegrees: 0,
  damagedFrames: 0,
  resentFrames: 0,
  air: false,
};

let folder: string;
let keeper: WorkbookKeeper;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'wholeturn-workbook-'));
  keeper = WorkbookKeeper.open(join(folder, 'logbook.db'));
});
afterEach(() => {
  keeper.close();
  rmSync(folder, { recursive: true });
});

function walked(id: string, { virtual = true, air = false, ended = true } = {}): void {
  const book = Logbook.open(join(folder, 'logbook.db'));
  const planned = { turns: 33, durationSeconds: 792 };
  const described = describeRun({ program, programText, stand }, planned, { virtual, kind: 'run' });
  book.beginRun({ ...described, id, startedMs: 1_000, air });
  if (ended) book.endRun(id, 900_000, { ...REPORT, runId: id, air });
  book.close();
}

function kept(measurement: string): number {
  const answer = keeper.keepMeasurement(measurement, AT_HAND, 5_000);
  if (!answer.ok) throw new Error(answer.words);
  return answer.id;
}

function opened(): Extract<ReturnType<WorkbookKeeper['workbook']>, { ok: true }> {
  const answer = keeper.workbook();
  if (!answer.ok) throw new Error(answer.words);
  return answer;
}

describe('the workbook', () => {
  it('keeps a measurement as it was written, virtual or not as it says itself', () => {
    const first = kept(BEFORE);
    const second = kept(AFTER.replace('virtual: true\n', ''));
    expect(opened().measurements).toEqual([
      { id: second, atMs: 5_000, glassId: 'glass-300', text: AFTER.replace('virtual: true\n', ''), virtual: false },
      { id: first, atMs: 5_000, glassId: 'glass-300', text: BEFORE, virtual: true },
    ]);
  });

  it('refuses a measurement with each complaint and its line, and keeps nothing of it', () => {
    const answer = keeper.keepMeasurement(BEFORE.replace('source: moving', 'source: nodding'), AT_HAND, 0);
    expect(answer.ok).toBe(false);
    if (!answer.ok) expect(answer.words).toMatch(/cannot be kept:\nLine 8, source: .*moving/);
    expect(opened().measurements).toEqual([]);
  });

  it('offers runs that have ended and touched the glass', () => {
    walked('ring');
    walked('air', { air: true });
    walked('going', { ended: false });
    expect(opened().runs).toEqual([
      {
        id: 'ring',
        title: program.title,
        startedMs: 1_000,
        endedMs: 900_000,
        turnsWalked: 33,
        plannedTurns: 33,
        lapId: 'star-80',
        glassId: 'glass-300',
        slurryId: 'cerium-fine',
        virtual: true,
      },
    ]);
  });

  it('learns from a run between two measurements, and knows it the next time', () => {
    walked('ring');
    const [beforeId, afterId] = [kept(BEFORE), kept(AFTER)];
    const answer = keeper.learn({ runId: 'ring', beforeId, afterId }, AT_HAND, 6_000);
    if (!answer.ok) throw new Error(answer.words);
    const { kPerPa, kSigma, runs, virtual, ratio } = answer.report;
    expect({ runs, virtual }).toEqual({ runs: 1, virtual: true });
    expect(ratio).toBeGreaterThan(0.3);
    const known = { lapId: 'star-80', slurryId: 'cerium-fine', glassId: 'glass-300', virtual: true };
    expect(opened().knowledge).toEqual([{ ...known, kPerPa, sigma: kSigma, runs: 1 }]);
    // The same run again replaces what it taught.
    keeper.learn({ runId: 'ring', beforeId, afterId }, AT_HAND, 7_000);
    expect(opened().knowledge).toEqual([{ ...known, kPerPa, sigma: kSigma, runs: 1 }]);
  });

  it.each<[string, RegExp, () => [string, string, string]]>([
    [
      'a run of iron and a virtual measurement',
      /virtual glass: nothing is learned/,
      () => {
        walked('iron', { virtual: false });
        return ['iron', BEFORE, AFTER];
      },
    ],
    [
      'a run with the lap up',
      /lap up/,
      () => {
        walked('air', { air: true });
        return ['air', BEFORE, AFTER];
      },
    ],
    [
      'a run that still goes',
      /not ended/,
      () => {
        walked('going', { ended: false });
        return ['going', BEFORE, AFTER];
      },
    ],
    ['a run that is not there', /no run "other"/, () => ['other', BEFORE, AFTER]],
  ])('learns nothing from %s', (_, words, prepare) => {
    const [runId, before, after] = prepare();
    const answer = keeper.learn({ runId, beforeId: kept(before), afterId: kept(after) }, AT_HAND, 0);
    expect(answer.ok).toBe(false);
    if (!answer.ok) expect(answer.words).toMatch(words);
    expect(opened().knowledge).toEqual([]);
  });

  it('reads the virtual glass into a file that says so and shows the raised ring', () => {
    const data = new VirtualGlasses(seeded(4), 8e-13).of(program.glass);
    const answer = keeper.readVirtualGlass({ ask: 'readVirtualGlass', takes: 2, diameters: 3, data }, seeded(5));
    if (!answer.ok) throw new Error(answer.words);
    const { measurement, complaints } = readMeasurement(answer.text, 'virtual', shelf, () => null);
    expect(complaints).toEqual([]);
    expect(measurement).toMatchObject({ kind: 'knife-edge', virtual: true, takes: { length: 6 } });
    const high = reduce(measurement!).findings.filter(({ kind }) => kind === 'raised zone');
    expect(high.some(({ radiusMm }) => Math.abs(radiusMm! - 90) < 15)).toBe(true);
    expect(kept(answer.text)).toBe(1);
    expect(opened().measurements[0]!.virtual).toBe(true);
  });
});

it('answers from its own thread, one question after the other', async () => {
  const thread = new WorkbookThread(join(folder, 'logbook.db'));
  try {
    const data = new VirtualGlasses(seeded(4), 8e-13).of(program.glass);
    const read = await thread.ask({ ask: 'readVirtualGlass', takes: 1, diameters: 1, data });
    expect(read).toMatchObject({ ok: true, text: expect.stringContaining('virtual: true') });
    const [keep, workbook] = await Promise.all([
      thread.ask({ ask: 'keepMeasurement', text: BEFORE, atHand: AT_HAND }),
      thread.ask({ ask: 'workbook' }),
    ]);
    expect(keep).toEqual({ ok: true, id: 1 });
    expect(workbook).toMatchObject({ ok: true, measurements: [{ id: 1, text: BEFORE }] });
  } finally {
    await thread.close();
  }
});

describe('the door', () => {
  it('lets only whole requests in', () => {
    expect(readRequest({ ask: 'learn', runId: 'x', beforeId: 1, afterId: 2 })).toMatchObject({ ask: 'learn' });
    for (const odd of [
      { ask: 'learn', runId: 'x', beforeId: 0, afterId: 2 },
      { ask: 'learn', runId: 'x', beforeId: 1.5, afterId: 2 },
      { ask: 'learn', runId: '', beforeId: 1, afterId: 2 },
      { ask: 'readVirtualGlass', takes: 1, diameters: 2 },
      { ask: 'readVirtualGlass', takes: 10, diameters: 3 },
      { ask: 'workbook', of: 'someone' },
      { ask: 'keepMeasurement', text: 'x'.repeat(LARGEST_MEASUREMENT_BYTES + 1) },
    ])
      expect(readRequest(odd), JSON.stringify(odd)).toMatch(/did not understand/);
  });

  it('lets those who watch read, and only the page in control keep and learn', async () => {
    expect(FOR_EVERYONE.has('workbook') && FOR_EVERYONE.has('readVirtualGlass')).toBe(true);
    const server = await ServerUnderTest.start();
    try {
      const { page } = await server.connected();
      const learn = { ask: 'learn', runId: 'x', beforeId: 1, afterId: 2 };
      for (const ask of [{ ask: 'keepMeasurement', text: 'x' }, learn])
        expect(await askAnything(page, ask)).toEqual({ ok: false, words: 'Take control first.' });
      expect(await askAnything(page, { ask: 'workbook' })).toEqual({ ok: true });
      expect(server.desk.asked).toEqual([{ ask: 'workbook' }]);
    } finally {
      await server.close();
    }
  });
});
