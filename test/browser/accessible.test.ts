/** axe (./axe.ts) on every screen in every state a person meets; targets, sizes, focus and announcements beside it. */
import type { Browser } from 'playwright-core';
import { afterAll, afterEach, beforeAll, expect, test } from 'vitest';
import { scan } from './axe';
import { closePages, Host, hold, introduce, launchBrowser, openPage, untilHeadline } from './support';

let browser: Browser;
let host: Host;
beforeAll(async () => {
  browser = await launchBrowser();
  host = await Host.start(['--speed', '10']);
});
afterEach(() => closePages(browser));
afterAll(async () => {
  await browser.close();
  await host.stop();
});

test('first visit, and each state of the Run page', async () => {
  const { page, expectQuiet } = await openPage(browser, host.url);
  await page.getByRole('heading', { level: 1 }).waitFor();
  await page.getByRole('textbox', { name: /Your name/ }).fill('  ');
  await page.getByRole('button', { name: 'Open the pages' }).click();
  await page
    .getByRole('alert')
    .getByText(/^Write your name first/)
    .waitFor();
  await scan(page, 'first visit, nameless');
  await introduce(page);
  await scan(page, 'watching, must be cleared');
  await page.getByRole('button', { name: /Take control/ }).click();
  await page.getByRole('button', { name: /^Clear/ }).click();
  await page.getByRole('button', { name: /Make ready/ }).waitFor();
  await scan(page, 'stopped');
  await page.getByRole('button', { name: /Make ready/ }).click();
  await untilHeadline(page, /hold Start/);
  await scan(page, 'ready');
  await hold(page, /^Start/);
  await untilHeadline(page, /Needs you in/);
  await scan(page, 'running');
  await page.keyboard.press('F8');
  await untilHeadline(page, /Paused/);
  await scan(page, 'paused');
  await page.setViewportSize({ width: 390, height: 844 });
  await scan(page, 'paused, narrow');
  await page.keyboard.press('Shift+F8');
  await untilHeadline(page, /Stopped at turn/);
  await scan(page, 'stopped in mid-turn, narrow');
  expectQuiet();
});

test('no key, and a host that is gone', async () => {
  const other = await Host.start();
  const { page } = await openPage(browser, other.url.replace(/#.*/, ''));
  await page.getByText(/no key for the host/).waitFor();
  await scan(page, 'no key');
  const { page: left } = await openPage(browser, other.url);
  await introduce(left);
  expect(await left.evaluate(() => document.documentElement.scrollHeight), 'fits the screen').toBe(720);
  await other.kill();
  await left
    .getByRole('alert')
    .getByText(/eases to a standstill/)
    .waitFor();
  await scan(left, 'host is gone');
});

test('a cut connection is announced once, focus stays where it was, and the page is live again by itself', async () => {
  const context = await browser.newContext({ viewport: { width: 1280, height: 720 } });
  const page = await context.newPage();
  const open: { close(): Promise<void> }[] = [];
  await page.routeWebSocket(/live/, (socket) => {
    socket.connectToServer();
    open.push(socket);
  });
  await page.goto(host.url);
  await introduce(page);
  const select = page.getByRole('combobox', { name: /Look/ });
  await select.focus();
  await page.evaluate(() => {
    const counted = globalThis as unknown as { announced: number };
    counted.announced = 0;
    new MutationObserver((changes) => {
      for (const change of changes) if (change.addedNodes.length > 0) counted.announced++;
    }).observe(document.querySelector('[role=alert]')!, { childList: true, subtree: true, characterData: true });
  });
  await open[0]!.close();
  await page
    .getByRole('alert')
    .getByText(/eases to a standstill/)
    .waitFor();
  await page
    .getByRole('alert')
    .getByText(/eases to a standstill/)
    .waitFor({ state: 'detached' });
  expect(await page.evaluate(() => (globalThis as unknown as { announced: number }).announced)).toBe(1);
  expect(open.length).toBeGreaterThanOrEqual(2);
  expect(await select.evaluate((element) => element === document.activeElement)).toBe(true);
});

test('targets are at least 64 px and the main numbers at least 64 px high at 1280x720', async () => {
  const { page } = await openPage(browser, host.url);
  await introduce(page);
  for (const button of await page.getByRole('region', { name: 'Commands' }).getByRole('button').all()) {
    const box = (await button.boundingBox())!;
    expect(Math.min(box.width, box.height), (await button.textContent()) ?? '').toBeGreaterThanOrEqual(64);
  }
  for (const number of await page.locator('.main-number').all()) {
    const size = await number.evaluate((element) => Number.parseFloat(getComputedStyle(element).fontSize));
    expect(size).toBeGreaterThanOrEqual(64);
  }
  // Everything that matters is seen without scrolling.
  const ribbon = (await page.getByRole('region', { name: 'The program' }).boundingBox())!;
  const bar = (await page.getByRole('region', { name: 'Commands' }).boundingBox())!;
  expect(ribbon.y + ribbon.height).toBeLessThanOrEqual(bar.y + 1);
  expect(bar.y + bar.height).toBeLessThanOrEqual(720);
});

test('at 390 px nothing is cut off sideways', async () => {
  const { page } = await openPage(browser, host.url, { width: 390, height: 844 });
  await introduce(page);
  const overflow = await page.evaluate(
    () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
  );
  expect(overflow).toBeLessThanOrEqual(0);
  const head = (await page.getByRole('banner').boundingBox())!;
  expect(head.height, 'the head leaves the page to the stand').toBeLessThan(844 / 7);
  expect(await page.getByText('Shift+F8').isVisible(), 'no key is named where there is no keyboard').toBe(false);
  await page.getByRole('button', { name: /^Take control/ }).focus();
  expect(await page.evaluate(() => scrollY), 'a command has the focus where it stands').toBe(0);
  await page.evaluate(() => scrollTo(0, document.body.scrollHeight));
  const below = await page.evaluate(() => scrollY);
  await page.getByRole('button', { name: /^Stop/ }).focus();
  expect(await page.evaluate(() => scrollY)).toBe(below);
  expect(await page.evaluate(() => scrollY)).toBeGreaterThan(100);
  await page.getByRole('link', { name: 'Measure' }).click();
  await page.getByRole('main', { name: 'Measure' }).waitFor();
  expect(await page.evaluate(() => scrollY), 'a page begins at its head').toBe(0);
});
