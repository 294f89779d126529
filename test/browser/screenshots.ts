/**
 * `npm run screenshots [FOLDER]`: the Run page in three looks and three widths, what it shows where it stands still, and the first visit,
 * as pictures to be looked at by a person. Without a folder only the picture of the README is renewed.
 */
import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { buildPages } from './build-pages';
import { Host, hold, introduce, launchBrowser, openPage, ROOT, startWalk, untilHeadline } from './support';

const SIZES = [
  { width: 1280, height: 720 },
  { width: 820, height: 1180 },
  { width: 390, height: 844 },
];
const README_PICTURE = join(ROOT, 'web-ui', 'run-page.png');

async function main(folder: string | undefined): Promise<void> {
  buildPages();
  const host = await Host.start(['--speed', '6']);
  const browser = await launchBrowser();
  const { page } = await openPage(browser, host.url);
  const shoot = async (name: string): Promise<void> => {
    if (folder !== undefined) await page.screenshot({ path: join(folder, `${name}.png`) });
  };
  if (folder !== undefined) mkdirSync(folder, { recursive: true });
  await page.getByRole('heading', { level: 1 }).waitFor();
  await shoot('first-visit');
  await startWalk(page);
  await page.waitForTimeout(8_000);
  await page.screenshot({ path: README_PICTURE });
  if (folder !== undefined) {
    for (const size of SIZES) await shootLooks(page, 'run', size, shoot);
    await shootStates(page, shoot);
    await shootMeasure(page, shoot);
  }
  await host.stop();
  if (folder !== undefined) await shootCutShort(browser, folder);
  await browser.close();
}

/** What stands still, in words and in the three looks that differ most. */
async function shootStates(page: Page, shoot: (name: string) => Promise<void>): Promise<void> {
  const each = async (name: string): Promise<void> => {
    for (const [width, height, look] of [
      [1280, 720, 'light'],
      [1280, 720, 'red'],
      [390, 844, 'light'],
    ] as const) {
      await page.setViewportSize({ width, height });
      await page.getByRole('combobox', { name: /Look/ }).selectOption(look);
      await page.waitForTimeout(150);
      await shoot(`${name}-${width}-${look}`);
    }
  };
  await page.getByRole('button', { name: /^Pause/ }).click();
  await page.getByRole('button', { name: /^Resume/ }).waitFor();
  await each('paused');
  await page.getByRole('button', { name: /^Stop\b/ }).click();
  await page.getByRole('button', { name: /Make ready/ }).waitFor();
  await each('stopped');
  await page.getByRole('button', { name: /Make ready/ }).click();
  await page.getByRole('button', { name: /^Go on/ }).waitFor();
  await each('ready');
}

/** A run that was cut short, as the next launch shows it; then the countdown and an air run, at real time. */
async function shootCutShort(browser: Browser, folder: string): Promise<void> {
  const first = await Host.start(['--speed', '20']);
  const { home } = first;
  const { page: walking } = await openPage(browser, first.url);
  await startWalk(walking);
  await walking.waitForTimeout(4_000);
  await first.kill();
  const host = await Host.start(['--speed', '1'], home);
  const { page } = await openPage(browser, host.url);
  const shoot = async (name: string, width: number): Promise<void> => {
    await page.setViewportSize({ width, height: width < 500 ? 844 : 720 });
    await page.screenshot({ path: join(folder, `${name}-${width}.png`) });
  };
  await introduce(page);
  await page.getByRole('button', { name: /Take control/ }).click();
  for (const width of [1280, 390]) await shoot('cut-short', width);
  await page.getByRole('button', { name: /^Clear/ }).click();
  await page.getByRole('button', { name: /Make ready/ }).click();
  await page.getByRole('button', { name: /The lap is up/ }).waitFor();
  for (const width of [390, 1280]) await shoot('cut-short-ready', width);
  await hold(page, /The lap is up/);
  await shoot('countdown', 1280);
  await shoot('countdown', 390);
  await host.stop();
  const other = await Host.start(['--speed', '20']);
  const { page: air } = await openPage(browser, other.url);
  await introduce(air);
  await air.getByRole('button', { name: /Take control/ }).click();
  await air.getByRole('button', { name: /^Clear/ }).click();
  await air.getByRole('button', { name: /Make ready/ }).click();
  await hold(air, /^Air run/);
  await untilHeadline(air, /Needs you in/);
  for (const width of [1280, 390]) {
    await air.setViewportSize({ width, height: width < 500 ? 844 : 720 });
    await air.screenshot({ path: join(folder, `air-${width}.png`) });
  }
  await other.stop();
}

/** Empty, with the example, and with a suggestion, which is seen from top to foot. */
async function shootMeasure(page: Page, shoot: (name: string) => Promise<void>): Promise<void> {
  await page.setViewportSize(SIZES[0]!);
  await page.getByRole('link', { name: 'Measure' }).click();
  await page.getByRole('button', { name: 'Open the example' }).waitFor();
  await shoot('measure-empty');
  await page.getByRole('button', { name: 'Open the example' }).click();
  await page.getByRole('heading', { level: 1, name: /^The zone/ }).waitFor();
  for (const size of SIZES) await shootLooks(page, 'measure', size, shoot);
  const next = page.getByRole('region', { name: 'What next' });
  await next.getByRole('checkbox', { name: 'I know how fast the lap cuts' }).check();
  await next.getByRole('button', { name: 'Ask for a suggestion' }).click();
  await next.getByRole('article', { name: 'Quickest' }).waitFor();
  await shootLooks(page, 'suggested', { width: 390, height: 5_200 }, shoot);
  await shootLooks(page, 'suggested', { width: 1280, height: 2_600 }, shoot);
}

async function shootLooks(
  page: Page,
  name: string,
  size: { width: number; height: number },
  shoot: (name: string) => Promise<void>,
): Promise<void> {
  await page.setViewportSize(size);
  for (const look of ['light', 'dark', 'red']) {
    await page.getByRole('combobox', { name: /Look/ }).selectOption(look);
    await page.waitForTimeout(400);
    await shoot(`${name}-${size.width}-${look}`);
  }
}

void main(process.argv[2]);
