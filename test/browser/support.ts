/**
 * A real host process (the line a person types), a real Chromium. Elements are found by role and name only; any console error or page
 * error fails the test that caused it.
 */
import { type ChildProcess, spawn } from 'node:child_process';
import { mkdtempSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type Browser, chromium, type Page } from 'playwright-core';

export const ROOT = join(__dirname, '..', '..');

/** Chromium in a container, as an administrator, without a network: no sandbox, and none of its own calls home. */
export const CHROMIUM_FLAGS = [
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
];

export function launchBrowser(): Promise<Browser> {
  return chromium.launch({ executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium', args: CHROMIUM_FLAGS });
}

export class Host {
  private constructor(
    private readonly process: ChildProcess,
    readonly url: string,
    /** Where it keeps its logbook. */
    readonly home: string,
  ) {}

  /** `npm run wholeturn -- serve` on a free port with a logbook of its own. */
  static start(args: string[] = [], home = mkdtempSync(join(tmpdir(), 'wholeturn-home-'))): Promise<Host> {
    const child = spawn(
      process.execPath,
      ['-r', 'ts-node/register/transpile-only', 'firmware-host/cli/main.ts', 'serve', '--port', '0', ...args],
      { cwd: ROOT, env: { ...process.env, WHOLETURN_HOME: home }, stdio: ['ignore', 'pipe', 'pipe'] },
    );
    return new Promise((resolve, reject) => {
      let said = '';
      const hear = (chunk: Buffer): void => {
        said += chunk.toString();
        const url = said.match(/http:\/\/127\.0\.0\.1:\d+\/#key=\S+/)?.[0];
        if (url) resolve(new Host(child, url, home));
      };
      child.stdout!.on('data', hear);
      child.stderr!.on('data', hear);
      child.once('exit', (code) => reject(new Error(`the host ended with ${code}: ${said}`)));
    });
  }

  /** Ends it as a crash would. */
  kill(): Promise<void> {
    return this.end('SIGKILL');
  }

  async stop(): Promise<void> {
    if (this.process.exitCode === null && this.process.signalCode === null) await this.end('SIGTERM');
  }

  private end(signal: NodeJS.Signals): Promise<void> {
    return new Promise((resolve) => {
      this.process.once('exit', () => resolve());
      this.process.kill(signal);
    });
  }
}

/** Opens a page whose every console error and page error is collected; `expectQuiet` fails on any. */
export async function openPage(
  browser: Browser,
  url: string,
  size = { width: 1280, height: 720 },
): Promise<{ page: Page; expectQuiet: () => void }> {
  const context = await browser.newContext({ viewport: size });
  const page = await context.newPage();
  const errors: string[] = [];
  page.on('pageerror', (error) => errors.push(error.message));
  page.on('console', (message) => {
    if (message.type() === 'error' || message.type() === 'warning') errors.push(message.text());
  });
  await page.goto(url);
  const expectQuiet = (): void => {
    if (errors.length > 0) throw new Error(`the page complained: ${errors.join(' | ')}`);
  };
  return { page, expectQuiet };
}

/** Closes every page: one that is left open goes on drawing, on the processor, and slows the tests after it. */
export async function closePages(browser: Browser): Promise<void> {
  await Promise.all(browser.contexts().map((context) => context.close()));
}

/** The first visit: a name and a unit. */
export async function introduce(page: Page, name = 'Ada'): Promise<void> {
  await page.getByRole('textbox', { name: /Your name/ }).fill(name);
  await page.getByRole('radio', { name: 'Millimetres' }).check();
  await page.getByRole('button', { name: 'Open the pages' }).click();
  await page.getByRole('main', { name: 'Run' }).waitFor();
}

/** Presses as a finger does and holds until the button has done its work and is gone; for `ms` only where that is given. */
export async function hold(page: Page, name: string | RegExp, ms?: number): Promise<void> {
  const button = page.getByRole('button', { name });
  const box = await button.boundingBox();
  if (box === null) throw new Error(`no button ${name}`);
  await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
  await page.mouse.down();
  if (ms === undefined) await button.waitFor({ state: 'hidden' });
  else await page.waitForTimeout(ms);
  await page.mouse.up();
}

export function headline(page: Page): Promise<string> {
  return page
    .getByRole('heading', { level: 1 })
    .textContent()
    .then((text) => text ?? '');
}

/** Waits until the page's headline matches. */
export async function untilHeadline(page: Page, wanted: RegExp, timeout = 60_000): Promise<void> {
  await page.getByRole('heading', { level: 1, name: wanted }).waitFor({ timeout });
}

/** First visit, control, clear, ready, Start held: until the walk is on. */
export async function startWalk(page: Page): Promise<void> {
  await introduce(page);
  await page.getByRole('button', { name: /Take control/ }).click();
  await page.getByRole('button', { name: /^Clear/ }).click();
  await page.getByRole('button', { name: /Make ready/ }).click();
  await untilHeadline(page, /hold Start/);
  await hold(page, /^Start/);
  await untilHeadline(page, /Needs you in/);
}
