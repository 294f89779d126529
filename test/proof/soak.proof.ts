/** Eight hours and three days of the stand's time at speed: no queue run out, no memory growing, a logbook that stays small. */
import { mkdtempSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { Logbook } from '../../firmware-host/logbook/logbook';
import { LogbookRecorder } from '../../firmware-host/logbook/recorder';
import { VirtualRun } from '../../firmware-host/run/virtual-run';
import { compileProgram } from '../../planner/steps/summary';
import { planOf } from '../run/support';
import { demoStand, program } from '../support/programs';

/** Growth that is none: what a collector may leave lying about. */
const SLACK_BYTES = 60e6;
/** Five or so rows a minute, each well under half a kilobyte with its index. */
const BYTES_A_ROW = 500;

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
    let nowMs = 1_760_000_000_000;
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
    const recorder = new LogbookRecorder(logbook, description, () => nowMs);
    const run = await VirtualRun.begin({
      plan: planOf(walked, demoStand),
      recorder,
      newRunId: () => 'soak',
      bootId: 3,
      linkId: 5,
    });
    const { conductor } = run;
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
      // A tenth of the whole, told on the way.
      const left = await run.until(() => conductor.snapshot().state === 'Complete', (hours * 3600) / 10);
      nowMs = 1_760_000_000_000 + run.seconds * 1000;
      await new Promise(setImmediate);
      heap.push(process.memoryUsage().heapUsed + process.memoryUsage().arrayBuffers);
      expect(conductor.snapshot().words).toMatch(/Running|Done|Finishing|Starting/);
      if (left) break;
    }
    const { underruns, endSteps, turnsWalked } = conductor.result();
    expect({ underruns, turnsWalked, endSteps }).toEqual({
      underruns: 0,
      turnsWalked: turns,
      endSteps: summary!.endSteps,
    });
    expect(Math.min(...heap.slice(-3)) - Math.min(...heap.slice(0, 3))).toBeLessThan(SLACK_BYTES);
    const rows = logbook.checkpoints('soak').length;
    logbook.close();
    const bytes = statSync(logbook.file).size;
    expect(bytes).toBeLessThan(200_000 + rows * BYTES_A_ROW);
    console.log(
      `${hours} h: ${((hours * 3600) / ((performance.now() - began) / 1000)).toFixed(0)} times real time, ${rows} rows, ` +
        `${(bytes / 1e6).toFixed(1)} MB of logbook, heap ${heap.map((some) => (some / 1e6).toFixed(0)).join(' ')} MB`,
    );
  } finally {
    rmSync(folder, { recursive: true });
  }
});
