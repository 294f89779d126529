import { spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { runsLeftOpen } from '../../firmware-host/logbook/left-open';
import { Logbook } from '../../firmware-host/logbook/logbook';

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'wholeturn-kill-'));
});
afterEach(() => rmSync(folder, { recursive: true }));

/** Starts the writer, kills it without warning once it has acknowledged `after`, and returns the last number it acknowledged. */
function writeAndKill(file: string, after: number): Promise<number> {
  return new Promise((resolve, reject) => {
    const child = spawn(process.execPath, [
      '-r',
      'ts-node/register/transpile-only',
      join(__dirname, 'writer.ts'),
      file,
    ]);
    let said = '';
    let complaints = '';
    child.stdout.on('data', (chunk: Buffer) => {
      said += chunk;
      if (said.includes(`${after}\n`)) child.kill('SIGKILL');
    });
    child.stderr.on('data', (chunk: Buffer) => {
      complaints += chunk;
    });
    child.on('error', reject);
    child.on('close', (_code, signal) => {
      if (signal !== 'SIGKILL') return reject(new Error(`the writer ended by itself: ${complaints}`));
      const whole = said.slice(0, said.lastIndexOf('\n')).split('\n');
      resolve(Number(whole.at(-1)));
    });
  });
}

test.each([3, 250])('a process killed after %i checkpoints loses none that it was told are kept', async (after) => {
  const file = join(folder, 'logbook.db');
  const acknowledged = await writeAndKill(file, after);
  expect(acknowledged).toBeGreaterThanOrEqual(after);

  const logbook = Logbook.open(file);
  expect(logbook.faults()).toEqual([]);
  const kept = logbook.checkpoints('killed');
  expect(kept.length).toBeGreaterThan(acknowledged);
  kept.forEach((checkpoint, number) => {
    expect(checkpoint).toMatchObject({ turnsWalked: number / 100 });
  });
  const [left] = runsLeftOpen(logbook);
  const place = ((kept.length - 1) / 100).toFixed(2);
  expect(left).toMatchObject({ stillRunning: false });
  expect(left!.words).toBe(`Virtual stand: "Ease a raised ring" stopped at turn ${place} of 40, lap down.`);
  logbook.close();
});
