/** Breaks one rule in a copy of the project and says whether its tests notice. `node -r ts-node/register/transpile-only` runs all. */
import { spawnSync } from 'node:child_process';
import { cpSync, mkdtempSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { MUTATIONS, type Mutation } from './mutations';

const ROOT = resolve(__dirname, '..', '..');
const COPIED = [
  'planner',
  'firmware-host',
  'hardware-notes',
  'test',
  'package.json',
  'tsconfig.json',
  'vitest.config.mts',
];
const SEED = '20261125';
const TS = ['-r', 'ts-node/register/transpile-only'];

/** True when what watches the rule failed. Throws where the text to change is not there once, or the copy cannot be built. */
export function isCaught(mutation: Mutation): boolean {
  const folder = mkdtempSync(join(tmpdir(), 'wholeturn-broken-'));
  try {
    for (const name of COPIED) cpSync(join(ROOT, name), join(folder, name), { recursive: true });
    symlinkSync(join(ROOT, 'node_modules'), join(folder, 'node_modules'));
    const file = join(folder, mutation.file);
    const parts = readFileSync(file, 'utf8').split(mutation.from);
    if (parts.length !== 2) throw new Error(`"${mutation.from}" stands ${parts.length - 1} times in ${mutation.file}`);
    writeFileSync(file, parts.join(mutation.to));
    if (file.endsWith('.c') && run(folder, [...TS, 'firmware-host/controller/build.ts']) !== 0)
      throw new Error(`with "${mutation.rule}" broken the core does not compile`);
    const { by } = mutation;
    if (!('cases' in by)) return run(folder, ['node_modules/vitest/vitest.mjs', 'run', ...by]) !== 0;
    return run(folder, [...TS, 'test/faults/run.ts', '--cases', String(by.cases), '--seed', SEED]) !== 0;
  } finally {
    rmSync(folder, { recursive: true });
  }
}

function run(folder: string, args: readonly string[]): number | null {
  return spawnSync(process.execPath, args, { cwd: folder, stdio: 'ignore', timeout: 900_000 }).status;
}

if (require.main === module)
  for (const mutation of MUTATIONS) console.log(`${isCaught(mutation) ? 'caught' : 'NOT CAUGHT'}: ${mutation.rule}`);
