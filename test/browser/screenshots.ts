/**
 * `npm run screenshots [FOLDER]`: the Run page in three looks and three widths, and the first visit, as pictures to be looked at by a
 * person. Without a folder only the picture of the README is renewed.
 */
import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { buildPages } from './build-pages';
import { Host, launchBrowser, openPage, ROOT, startWalk } from './support';

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
  if (folder !== undefined) for (const size of SIZES) await shootLooks(page, size, shoot);
  await browser.close();
  await host.stop();
}

async function shootLooks(
  page: Page,
  size: { width: number; height: number },
  shoot: (name: string) => Promise<void>,
): Promise<void> {
  await page.setViewportSize(size);
  for (const look of ['light', 'dark', 'red']) {
    await page.getByRole('combobox', { name: /Look/ }).selectOption(look);
    await page.waitForTimeout(400);
    await shoot(`run-${size.width}-${look}`);
  }
}

void main(process.argv[2]);
