/** The pages: how soon they are there, how much they weigh, what a frame costs while the walk is on. Needs Debian's chromium. */
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import type { Page } from 'playwright-core';
import { buildPages } from '../browser/build-pages';
import { Host, launchBrowser, openPage, ROOT, startWalk } from '../browser/support';
import type { Bench } from './harness';

const ASSETS = join(ROOT, 'web-ui', 'dist', 'assets');
const WATCH_MS = 4_000;

export async function benches(): Promise<Bench[]> {
  buildPages();
  const weight: Bench = {
    name: 'all JavaScript of the pages, gzip',
    unit: 'kB',
    goal: 150,
    better: 'smaller',
    repeats: 1,
    measure: () =>
      readdirSync(ASSETS)
        .filter((file) => file.endsWith('.js'))
        .reduce((sum, file) => sum + gzipSync(readFileSync(join(ASSETS, file))).length / 1000, 0),
  };
  if (!existsSync(process.env.CHROMIUM ?? '/usr/bin/chromium')) {
    console.log('no chromium here: the time to a ready page and the cost of a frame are not measured');
    return [weight];
  }
  return [weight, ready(), scripting()];
}

/** From asking for the address to the Run page with its first view, in a fresh browser profile. */
function ready(): Bench {
  return {
    name: 'page ready on this machine',
    unit: 's',
    goal: 1.5,
    better: 'smaller',
    repeats: 5,
    note: 'fresh profile each time, first visit already answered',
    async measure() {
      const host = await Host.start();
      const browser = await launchBrowser();
      const context = await browser.newContext({ viewport: { width: 1280, height: 720 } });
      await context.addInitScript(() => localStorage.setItem('wholeturn.unit', 'mm'));
      const page = await context.newPage();
      const began = performance.now();
      await page.goto(host.url);
      await page.getByRole('main', { name: 'Run' }).waitFor();
      const seconds = (performance.now() - began) / 1000;
      await browser.close();
      await host.stop();
      return seconds;
    },
  };
}

/** Script time per drawn frame while the demo walks and ticks come 20 times a second. */
function scripting(): Bench {
  return {
    name: 'scripting per frame while walking',
    unit: 'ms',
    goal: 4,
    better: 'smaller',
    repeats: 2,
    async measure() {
      const host = await Host.start(['--speed', '10']);
      const browser = await launchBrowser();
      const { page } = await openPage(browser, host.url);
      await startWalk(page);
      const perFrame = await scriptingPerFrame(page);
      await browser.close();
      await host.stop();
      return perFrame;
    },
  };
}

async function scriptingPerFrame(page: Page): Promise<number> {
  const devtools = await page.context().newCDPSession(page);
  await devtools.send('Performance.enable');
  const scriptMs = async (): Promise<number> => {
    const { metrics } = await devtools.send('Performance.getMetrics');
    return 1000 * (metrics.find((metric) => metric.name === 'ScriptDuration')?.value ?? Number.NaN);
  };
  const before = await scriptMs();
  const frames = await page.evaluate(
    (forMs) =>
      new Promise<number>((resolve) => {
        const began = performance.now();
        let count = 0;
        const next = (nowMs: number): void => {
          count++;
          if (nowMs - began < forMs) requestAnimationFrame(next);
          else resolve(count);
        };
        requestAnimationFrame(next);
      }),
    WATCH_MS,
  );
  return ((await scriptMs()) - before) / frames;
}
