/** Child process of kill.ts: walks a program on the virtual stand with a logbook, and says which rows it was told are kept. */
import { writeSync } from 'node:fs';
import { Logbook } from '../../firmware-host/logbook/logbook';
import { LogbookRecorder } from '../../firmware-host/logbook/recorder';
import type { RunRecorder } from '../../firmware-host/run/recorder';
import { VirtualRun } from '../../firmware-host/run/virtual-run';
import { LEFT_STANDING, plannedProgram } from './world';

async function main(file: string): Promise<void> {
  const { plan, summary, text } = plannedProgram(1);
  const logbook = Logbook.open(file);
  const kept = new LogbookRecorder(
    logbook,
    {
      virtual: true,
      kind: 'rehearsal',
      title: plan.program.title,
      programFile: plan.program.file,
      programText: text,
      recipe: {},
      stand: plan.stand.name,
      plannedTurns: summary.turns,
      plannedSeconds: summary.durationSeconds,
    },
    Date.now,
  );
  const say = (row: object): void => void writeSync(1, `${JSON.stringify(row)}\n`);
  let runs = 0;
  const recorder: RunRecorder = {
    begin: (...args) => kept.begin(...args),
    checkpoint(runId, seen) {
      kept.checkpoint(runId, seen);
      if (seen.state !== 'Execute') say({ place: seen.turnsWalked });
    },
    event(runId, kind, turns, words) {
      kept.event(runId, kind, turns, words);
      say({ words });
    },
    end: (...args) => kept.end(...args),
  };
  for (;;) {
    const options = { plan, recorder, newRunId: () => `${process.pid}-${++runs}`, bootId: 7, linkId: 99 };
    const run = await VirtualRun.begin({ ...options, start: LEFT_STANDING });
    const { conductor } = run;
    const until = async (state: string): Promise<void> => {
      await run.until(() => conductor.snapshot().state === state, 600);
    };
    conductor.order({ kind: 'command', command: 'clear' });
    await until('Stopped');
    conductor.order({ kind: 'command', command: 'reset' });
    await until('Idle');
    conductor.order({ kind: 'command', command: 'start', from: 'beginning' });
    await until('Execute');
    conductor.order({ kind: 'command', command: 'hold' });
    await until('Held');
    conductor.order({ kind: 'command', command: 'unhold' });
    await until('Complete');
    await conductor.close();
  }
}

void main(process.argv[2]!);
