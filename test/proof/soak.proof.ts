/** Eight hours and three days of the stand's time at speed: no queue run out, no memory growing, a logbook that stays small. */
import { mkdtempSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import { expect, test } from 'vitest';
import { Logbook } from '../../firmware-host/logbook/logbook';
import { LogbookRecorder } from '../../firmware-host/logbook/recorder';
import { VirtualRun } from '../../firmware-host/run/virtual-run';
import { compileProgram } from '../../planner/steps/summary';
import { planOf } from '../run/support';
import { demoStand, program } from '../support/programs';

/** After a warm-up of a tenth: what the live heap may rise by to the end, and its peak over that of the warm-up. */
const RISE_BYTES = 2e6;
const PEAK_BYTES = 6e6;
/** Five or so rows a minute, each well under half a kilobyte with its index. */
const BYTES_A_ROW = 500;

setFlagsFromString('--expose-gc');
const collect = runInNewContext('gc') as () => void;

/** What is alive, garbage collected before. */
function liveBytes(): number {
  collect();
  collect();
  const { heapUsed, arrayBuffers } = process.memoryUsage();
  return heapUsed + arrayBuffers;
}

/** Rise of the line of least squares through the values, from the first to the last. */
function rise(values: readonly number[]): number {
  const middle = (values.length - 1) / 2;
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  let over = 0;
  let under = 0;
  for (const [i, value] of values.entries()) {
    over += (i - middle) * (value - mean);
    under += (i - middle) ** 2;
  }
  return (over / under) * (values.length - 1);
}

test.each([8, 72])('%i hours of the stand', async (hours) => {
  const turns = Math.round(hours * 60 * 2.5);
  const walked = program(
    [
      { turns: Math.floor(turns / 2), nudge: { everyStrokes: 5, byMm: 6 } },
      { turns: Math.ceil(turns / 2), shape: 'ellipse', widthMm: 12 },
    ],
    { turntableRpm: 2.5 },
  );
  const { summary } = compileProgram(walked, demoStand);
  const folder = mkdtempSync(join(tmpdir(), 'wholeturn-soak-'));
  try {
    const logbook = Logbook.open(join(folder, 'logbook.db'));
    let seconds = (): number => 0;
    const description = {
      virtual: true,
      kind: 'rehearsal' as const,
      title: walked.title,
      programFile: walked.file,
      programText: 'soak',
      recipe: {},
      stand: demoStand.name,
      plannedTurns: turns,
      plannedSeconds: summary!.durationSeconds,
    };
    const recorder = new LogbookRecorder(logbook, description, () => 1_760_000_000_000 + seconds() * 1000);
    const run = await VirtualRun.begin({
      plan: planOf(walked, demoStand),
      recorder,
      newRunId: () => 'soak',
      bootId: 3,
      linkId: 5,
    });
    const { conductor } = run;
    seconds = () => run.seconds;
    for (const [command, state] of [
      ['clear', 'Stopped'],
      ['reset', 'Idle'],
    ] as const) {
      conductor.order({ kind: 'command', command });
      await run.until(() => conductor.snapshot().state === state, 60);
    }
    conductor.order({ kind: 'command', command: 'start', from: 'beginning' });
    const heap: number[] = [];
    const began = performance.now();
    while (conductor.snapshot().state !== 'Complete') {
      const left = await run.until(() => conductor.snapshot().state === 'Complete', (hours * 3600) / 20);
      await new Promise(setImmediate);
      heap.push(liveBytes());
      expect(conductor.snapshot().words).toMatch(/Running|Done|Finishing|Starting/);
      if (left) break;
    }
    const { underruns, endSteps, turnsWalked } = conductor.result();
    expect({ underruns, turnsWalked, endSteps }).toEqual({
      underruns: 0,
      turnsWalked: turns,
      endSteps: summary!.endSteps,
    });
    const rows = logbook.checkpoints('soak').length;
    logbook.close();
    const bytes = statSync(logbook.file).size;
    const warm = heap.slice(2);
    console.log(
      `${hours} h: ${((hours * 3600) / ((performance.now() - began) / 1000)).toFixed(0)} times real time, ${rows} rows, ` +
        `${(bytes / 1e6).toFixed(1)} MB of logbook, live heap ${heap.map((some) => (some / 1e6).toFixed(1)).join(' ')} MB, rise ${(rise(warm) / 1e6).toFixed(2)} MB`,
    );
    expect(bytes).toBeLessThan(200_000 + rows * BYTES_A_ROW);
    expect(rise(warm)).toBeLessThan(RISE_BYTES);
    expect(Math.max(...warm) - Math.max(...heap.slice(0, 2))).toBeLessThan(PEAK_BYTES);
  } finally {
    rmSync(folder, { recursive: true });
  }
});
