/** A process that walks and keeps a logbook is killed without warning at a moment drawn from a seed. */
import { spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type Interrupted, interruptedRun, runsLeftOpen } from '../../firmware-host/logbook/left-open';
import { Logbook } from '../../firmware-host/logbook/logbook';
import { describeRun, LogbookRecorder } from '../../firmware-host/logbook/recorder';
import { VirtualRun } from '../../firmware-host/run/virtual-run';
import { seeded } from '../support/random';
import { LEFT_STANDING, plannedProgram } from './world';

/** Rows it says at most before it is killed: some walks of about a dozen each. */
const ROWS = 60;

/** What was wrong with the logbook afterwards; empty when all is well. */
export async function killForGood(seed: number): Promise<string[]> {
  const folder = mkdtempSync(join(tmpdir(), 'wholeturn-killed-'));
  try {
    const file = join(folder, 'logbook.db');
    const said = await walkAndKill(file, 1 + Math.floor(seeded(seed)() * ROWS));
    const wrong: string[] = [];
    const logbook = Logbook.open(file);
    wrong.push(...logbook.faults());
    const told = said.flatMap((row) => (row.words === undefined ? [] : [row.words]));
    const kept = logbook.events(100_000).map(({ words }) => words);
    if (JSON.stringify(kept.slice(0, told.length)) !== JSON.stringify(told))
      wrong.push(`of ${told.length} acknowledged rows ${kept.length} are there, or others`);
    const [open] = runsLeftOpen(logbook);
    if (open !== undefined && open.seen !== null) {
      const text = plannedProgram(1).text;
      const found = interruptedRun(logbook, { text, virtual: true });
      if (open.seen.turnsWalked < open.run.plannedTurns && found?.runId !== open.run.id)
        wrong.push(`run ${open.run.id} at turn ${open.seen.turnsWalked} is not offered`);
      const places = said.flatMap((row) => (row.place === undefined ? [] : [row.place]));
      const rows = logbook
        .runs(1000)
        .flatMap(({ id }) => logbook.checkpoints(id).map(({ turnsWalked }) => turnsWalked));
      for (const place of places) if (!rows.includes(place)) wrong.push(`the place at turn ${place} is missing`);
      if (found !== null && found.turnsWalked < open.run.plannedTurns) wrong.push(...(await goOn(logbook, found)));
    }
    logbook.close();
    return wrong;
  } finally {
    rmSync(folder, { recursive: true });
  }
}

/** The next launch goes on from the place that was found, to the end of the program, and keeps that too. */
async function goOn(logbook: Logbook, interrupted: Interrupted): Promise<string[]> {
  const { plan, summary, text } = plannedProgram(1);
  const description = describeRun(
    { program: plan.program, programText: text, stand: plan.stand },
    { turns: summary.turns, durationSeconds: summary.durationSeconds },
    { virtual: true, kind: 'rehearsal' },
  );
  const recorder = new LogbookRecorder(logbook, description, Date.now);
  const begun = { plan, recorder, newRunId: () => 'anew', bootId: 9, linkId: 77, interrupted, start: LEFT_STANDING };
  const run = await VirtualRun.begin(begun);
  const { conductor } = run;
  for (const [order, state] of [
    [{ kind: 'command', command: 'clear' }, 'Stopped'],
    [{ kind: 'command', command: 'reset' }, 'Idle'],
    [{ kind: 'command', command: 'start', from: 'place' }, 'Complete'],
  ] as const) {
    const answer = conductor.order(order);
    if (!answer.ok) return [`after the kill: ${answer.words}`];
    if (!(await run.until(() => conductor.snapshot().state === state, 600)))
      return [`after the kill: ${order.command} ended in "${conductor.snapshot().words}"`];
  }
  await conductor.close();
  const kept = logbook.run(interrupted.runId)?.report?.turnsWalked;
  return kept === summary.turns ? [] : [`gone on with, the run is kept at turn ${kept}`];
}

function walkAndKill(file: string, afterRows: number): Promise<{ words?: string; place?: number }[]> {
  return new Promise((resolve, reject) => {
    const child = spawn(process.execPath, [
      '-r',
      'ts-node/register/transpile-only',
      join(__dirname, 'kill-child.ts'),
      file,
    ]);
    let said = '';
    let complaints = '';
    child.stdout.on('data', (chunk: Buffer) => {
      said += chunk;
      if (said.split('\n').length > afterRows) child.kill('SIGKILL');
    });
    child.stderr.on('data', (chunk: Buffer) => {
      complaints += chunk;
    });
    child.on('error', reject);
    child.on('close', (_code, signal) => {
      if (signal !== 'SIGKILL') return reject(new Error(`it ended by itself: ${complaints}`));
      const whole = said
        .slice(0, said.lastIndexOf('\n') + 1)
        .split('\n')
        .filter(Boolean);
      resolve(whole.map((line) => JSON.parse(line) as { words?: string; place?: number }));
    });
  });
}
