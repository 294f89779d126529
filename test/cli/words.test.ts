/** What the terminal tells of a program that can be walked but is uneven, needs hands, or clocks clockwise. */
import { mkdtempSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { wholeturn } from './support';

function file(...stints: string[]): string {
  const path = join(mkdtempSync(join(tmpdir(), 'wholeturn-words-')), 'program.yaml');
  const head = 'wholeturn: 1\ntitle: x\nglass: glass-300\nlap: star-80\nturntable: 2.5 rpm\nrate: 44 /min\ndo:\n';
  writeFileSync(path, head + stints.map((stint) => `  - ${stint}\n`).join(''));
  return path;
}

const PLACE = 'stroke: straight, at: 90 mm, length: 80 mm';

test('check says how even the least even stint is, and every warning', async () => {
  const { out, code } = await wholeturn(
    ['check', file(`{ turns: 2, ${PLACE}, rate: 5 /min, rateTolerance: 1 % }`)],
    tmpdir(),
  );
  expect(code).toBe(0);
  expect(out).toMatch(/2 turns can be walked; the least even stint has an evenness of 0\.\d\d of 1/);
  expect(out).toContain('Beware: ');
});

test('compile tells the exact clocking and its sense, strokes a minute, and where hands are needed', async () => {
  const stints = [`{ turns: 7, ${PLACE}, clock: { every: 3, by: -45 deg } }`, `{ turns: 6, ${PLACE}, clock: by hand }`];
  const { out } = await wholeturn(['compile', file(...stints)], tmpdir());
  const words = out.replace(/\s+/g, ' ');
  expect(words).toMatch(/lap clocked [\d.]+ deg clockwise \(asked: 45 deg clockwise\)/);
  expect(words).toMatch(/\(\d+\.\d\d a turn, \d+\.\d a minute\)/);
  expect(words).toContain('Needs your hands: at turns 7, 10 it stands, lap up');
});
