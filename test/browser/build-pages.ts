/** Builds the pages once before the browser tests. */
import { spawnSync } from 'node:child_process';
import { join } from 'node:path';

const ROOT = join(__dirname, '..', '..');

export function buildPages(): void {
  const vite = join(ROOT, 'node_modules', 'vite', 'bin', 'vite.js');
  const built = spawnSync(process.execPath, [vite, 'build', 'web-ui', '--logLevel', 'warn'], {
    cwd: ROOT,
    encoding: 'utf8',
  });
  if (built.status !== 0) throw new Error(`the pages do not build: ${built.stderr}`);
}

/** vitest's globalSetup. */
export const setup = buildPages;
