/** Pages of text go stale in silence; these checks make the commonest ways loud. */
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative } from 'node:path';
import { expect, test } from 'vitest';

const ROOT = join(__dirname, '..', '..');
const ROOMS = ['planner', 'firmware-host', 'web-ui', 'test', 'hardware-notes'];

function pages(): string[] {
  const found = ['README.md', 'DEVELOPERS.md'];
  for (const room of ROOMS)
    for (const name of readdirSync(join(ROOT, room), { recursive: true, encoding: 'utf8' }))
      if (name.endsWith('.md') && !name.includes('node_modules')) found.push(join(room, name));
  return found;
}

test('every path of the project that a page names exists', () => {
  const missing: string[] = [];
  for (const page of pages()) {
    const text = readFileSync(join(ROOT, page), 'utf8');
    const named = new Set<string>();
    for (const [, target] of text.matchAll(/\]\(([^)#\s]+)(?:#[^)]*)?\)/g))
      if (!/^[a-z]+:/.test(target!)) named.add(target!);
    for (const [, target] of text.matchAll(/`((?:planner|firmware-host|web-ui|test|hardware-notes)\/[\w./-]+)`/g))
      named.add(target!);
    for (const target of named) {
      const beside = join(ROOT, dirname(page), target);
      if (!existsSync(beside) && !existsSync(join(ROOT, target))) missing.push(`${page}: ${target}`);
    }
  }
  expect(missing).toEqual([]);
});

/** As GitHub makes them: lower case, punctuation gone, spaces as hyphens. */
function anchorsOf(page: string): string[] {
  const headings = readFileSync(page, 'utf8').matchAll(/^#+ (.+)$/gm);
  return [...headings].map(([, words]) =>
    words!
      .toLowerCase()
      .replace(/[^\w\- ]/g, '')
      .replaceAll(' ', '-'),
  );
}

test('every heading that a page links to exists', () => {
  const missing: string[] = [];
  for (const page of pages())
    for (const [, target, anchor] of readFileSync(join(ROOT, page), 'utf8').matchAll(/\]\(([^)#\s:]*)#([^)\s]+)\)/g)) {
      const linked = target === '' ? join(ROOT, page) : join(ROOT, dirname(page), target!);
      if (!anchorsOf(linked).includes(anchor!)) missing.push(`${page}: ${target}#${anchor}`);
    }
  expect(missing).toEqual([]);
});

test('every npm script that a page names exists', () => {
  const { scripts } = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8')) as {
    scripts: Record<string, string>;
  };
  const missing: string[] = [];
  for (const page of pages())
    for (const [, name] of readFileSync(join(ROOT, page), 'utf8').matchAll(/npm run (?:-s )?([a-z][\w:-]*)/g))
      if (!(name! in scripts)) missing.push(`${page}: npm run ${name}`);
  expect(missing).toEqual([]);
});

test('the lock file names no download address', () => {
  expect(readFileSync(join(ROOT, 'package-lock.json'), 'utf8')).not.toMatch(/"resolved": "https?:/);
});

test('no test is switched off or narrowed', () => {
  const found: string[] = [];
  for (const name of readdirSync(join(ROOT, 'test'), { recursive: true, encoding: 'utf8' })) {
    if (!/\.tsx?$/.test(name)) continue;
    const text = readFileSync(join(ROOT, 'test', name), 'utf8');
    if (/\b(?:it|test|describe)\.(?:skip|todo|only)\(/.test(text)) found.push(relative(ROOT, join('test', name)));
  }
  expect(found).toEqual([]);
});
