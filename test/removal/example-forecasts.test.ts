import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { FOLDER, forecastFiles } from './example-forecasts';

it('every example has its forecast in the docs, and it is up to date', () => {
  const files = forecastFiles();
  const kept = new Map(readdirSync(FOLDER).map((name) => [name, readFileSync(join(FOLDER, name), 'utf8')]));
  expect([...kept.keys()].sort()).toEqual([...files.keys()].sort());
  for (const [name, text] of files) expect(kept.get(name), name).toBe(text);
});
