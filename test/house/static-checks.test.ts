/** The compiler, the formatter and the linter have nothing to say about the tree. */
import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';

const ROOT = join(__dirname, '..', '..');

function run(script: string, args: string[]): { status: number | null; output: string } {
  const result = spawnSync(process.execPath, [join(ROOT, 'node_modules', script), ...args], {
    cwd: ROOT,
    encoding: 'utf8',
  });
  return { status: result.status, output: result.stdout + result.stderr };
}

for (const project of ['planner', '.', 'web-ui', 'test/browser']) {
  test(`tsc --noEmit is content with ${project === '.' ? 'host and tests' : project}`, () => {
    expect(existsSync(join(ROOT, project, 'tsconfig.json'))).toBe(true);
    const { status, output } = run('typescript/bin/tsc', ['--noEmit', '-p', project]);
    expect(output).toBe('');
    expect(status).toBe(0);
  });
}

test('the formatter and linter find nothing', () => {
  const { status, output } = run('@biomejs/biome/bin/biome', [
    'ci',
    '--error-on-warnings',
    '--max-diagnostics=20',
    '.',
  ]);
  expect(status, output).toBe(0);
});
