/**
 * Starting is never a surprise, and nothing is lost: the countdown with its sound, an air run, and a run whose host was killed, on the
 * page of the next one.
 */
import type { Browser, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, expect, test } from 'vitest';
import { scan } from './axe';
import { closePages, Host, hold, introduce, launchBrowser, openPage, startWalk, untilHeadline } from './support';

let browser: Browser;
beforeAll(async () => {
  browser = await launchBrowser();
});
afterEach(() => closePages(browser));
afterAll(() => browser.close());

declare global {
  var wholeturnTones: { hz: number; running: boolean }[] | undefined;
}

/** Notes every tone that the page starts, and whether the browser lets it sound. */
async function listen(page: Page): Promise<void> {
  await page.addInitScript(() => {
    globalThis.wholeturnTones = [];
    const { start } = OscillatorNode.prototype;
    OscillatorNode.prototype.start = function (when?: number) {
      globalThis.wholeturnTones!.push({ hz: this.frequency.value, running: this.context.state === 'running' });
      start.call(this, when);
    };
  });
  await page.reload();
}

async function makeReady(page: Page): Promise<void> {
  await page.getByRole('button', { name: /Take control/ }).click();
  await page.getByRole('button', { name: /^Clear/ }).click();
  await page.getByRole('button', { name: /Make ready/ }).click();
}

test('a run whose host was killed stands on the next page with its place, warns with a sound, and can be called off', async () => {
  const first = await Host.start(['--speed', '60']);
  const walking = await openPage(browser, first.url);
  await startWalk(walking.page);
  await walking.page.waitForFunction(
    () => Number.parseFloat(document.querySelector('.main-number')?.textContent ?? '0') > 1,
  );
  await first.kill();

  const host = await Host.start(['--speed', '1'], first.home);
  const { page, expectQuiet } = await openPage(browser, host.url);
  await listen(page);
  await introduce(page);
  await untilHeadline(page, /^Stopped at turn \d+\.\d\d of 33$/);
  await page
    .getByText(/lap up .*degrees may be walked twice, \d\.\d\d nm at the deepest place/)
    .first()
    .waitFor();
  await page.getByText('Look that the lap is up and free of the glass.', { exact: false }).first().waitFor();
  await scan(page, 'a run that was cut short');
  await makeReady(page);
  expect(await page.evaluate(() => globalThis.wholeturnTones), 'nothing sounds before a person asks').toEqual([]);
  await hold(page, /^The lap is up: go on from turn/);
  await untilHeadline(page, /^Moves in \d s: keep clear$/);
  await page.getByText('Stop calls it off; nothing mutes the sound', { exact: false }).first().waitFor();
  await page.waitForFunction(() => (globalThis.wholeturnTones?.length ?? 0) >= 1);
  await page.getByRole('button', { name: /^Stop\b/ }).click();
  await untilHeadline(page, /^Stopped at turn/);
  const tones = (await page.evaluate(() => globalThis.wholeturnTones))!;
  expect(tones.every(({ hz, running }) => hz === 880 && running)).toBe(true);
  expectQuiet();
  await host.stop();
});

test('an air run is offered, marked, and walked with the lap up', async () => {
  const host = await Host.start(['--speed', '200', 'planner/examples/short-check.yaml']);
  const { page, expectQuiet } = await openPage(browser, host.url);
  await introduce(page);
  await makeReady(page);
  await hold(page, /^Air run/);
  await page.getByText('Air run: lap up').waitFor();
  await untilHeadline(page, /^Done/);
  await page.getByText('An air run: nothing was taken off the glass.', { exact: false }).waitFor();
  await untilHeadline(page, /nothing was taken off$/);
  await page.getByText('More of this run').click();
  await page.getByText(/made [\d,]+ steps .*Line to the stand: 0 messages damaged, 0 sent again\./).waitFor();
  expectQuiet();
  await host.stop();
});
