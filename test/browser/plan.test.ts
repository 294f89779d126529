/**
 * The Plan page in a real browser: a stroke is drawn with the mouse, then all of it by keyboard; forecasts, comparison, evenness, limits,
 * the file, and "Run this". What the canvas drew is asserted from the numbers that were drawn.
 */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, Locator, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest';
import { planProgram } from '../../planner/path/plan';
import { readProgram } from '../../planner/program/read-program';
import { removalOf } from '../../planner/removal/predict';
import { peakIndex } from '../../planner/removal/profile-measures';
import { profileNm } from '../../planner/removal/removal';
import { REMOVAL_COEFFICIENT } from '../../web-ui/plan/assumptions';
import type { DrawnRing, DrawnSheet } from '../../web-ui/run/draw-log';
import { demoShelf } from '../program/reading';
import { demoStand } from '../support/programs';
import { scan } from './axe';
import { closePages, Host, introduce, launchBrowser, openPage, ROOT } from './support';

let browser: Browser;
let host: Host;
beforeAll(async () => {
  browser = await launchBrowser();
  host = await Host.start(['--speed', '20']);
});
afterEach(() => closePages(browser));
afterAll(async () => {
  await browser.close();
  await host.stop();
});

type Drawn<T> = Promise<T | undefined>;
const lastDrawn = <T extends DrawnSheet | DrawnRing>(page: Page, what: T['what']): Drawn<T> =>
  page.evaluate(
    (wanted) => (globalThis.wholeturnDrawn ?? []).filter((entry) => entry.what === wanted).at(-1) as never,
    what,
  );
const sheet = (page: Page): Drawn<DrawnSheet> => lastDrawn<DrawnSheet>(page, 'sheet');

async function openPlan(size?: { width: number; height: number }) {
  const opened = await openPage(browser, `${host.url}&drawlog`, size);
  await introduce(opened.page);
  await opened.page.getByRole('link', { name: 'Plan' }).click();
  await opened.page.getByRole('main', { name: 'Plan' }).waitFor();
  await reckoned(opened.page);
  return opened;
}

/** Until the whole forecast of what is shown has arrived. */
async function reckoned(page: Page): Promise<void> {
  await page.locator('[aria-label="What stays behind"][aria-busy="false"]').waitFor({ state: 'attached' });
}

const field = (page: Page, name: string): Locator => page.getByRole('textbox', { name, exact: true });
const headline = (page: Page, words: RegExp): Promise<void> =>
  page.getByRole('heading', { level: 1, name: words }).waitFor();

async function handle(page: Page, name: string): Promise<{ x: number; y: number }> {
  const box = (await page.locator('.sheet-view canvas').boundingBox())!;
  const place = (await sheet(page))!.handles[name]!;
  return { x: box.x + place.xPx, y: box.y + place.yPx };
}

async function pull(page: Page, name: string, byX: number, byY: number): Promise<void> {
  const { x, y } = await handle(page, name);
  await page.mouse.move(x, y);
  await page.mouse.down();
  for (let step = 1; step <= 8; step++) await page.mouse.move(x + (byX * step) / 8, y + (byY * step) / 8);
  await page.mouse.up();
}

async function savedText(page: Page): Promise<{ name: string; text: string }> {
  const coming = page.waitForEvent('download');
  await page.getByRole('button', { name: /^Save as a file/ }).click();
  const file = await coming;
  return { name: file.suggestedFilename(), text: readFileSync((await file.path())!, 'utf8') };
}

test('begins with what is loaded, its repeats in a frame', async () => {
  const { page, expectQuiet } = await openPlan();
  await headline(page, /^Takes \d+ nm off at 8\d(\.\d)?\smm, in 33\sturns and 13:\d\d\smin$/);
  const stints = page.getByRole('region', { name: 'Stints' });
  expect(await stints.locator('.card').allTextContents()).toEqual([
    '1 · 11 turnsstraight 80 mm at 90 mm, nudged',
    '4 times',
    '2 · 2 turnsstraight 80 mm at 90 mm',
    '3 · 1 turnelliptical 80 mm at 90 mm',
    '4 · 10 turnselliptical 70 mm at 92 mm, nudged',
  ]);
  expectQuiet();
});

test('a stroke is drawn by mouse, the depth follows the hand, and the file says the same', async () => {
  const { page, expectQuiet } = await openPlan();
  await page.getByRole('button', { name: 'Begin a new program' }).click();
  await headline(page, /in 9\sturns/);
  await page.evaluate(() => scrollTo(0, 0));
  const before = (await sheet(page))!;

  await pull(page, 'near end', 0, -40);
  const longer = Number(await field(page, 'Length').inputValue());
  expect(longer).toBeGreaterThan(before.lengthMm + 10);
  // Both ends moved by as much as the hand.
  await pull(page, 'setting', -60, 0);
  const inward = Number(await field(page, 'Setting').inputValue());
  expect(inward).toBeLessThan(before.settingMm - 10);
  await page.getByRole('radio', { name: 'Elliptical' }).check();
  await pull(page, 'width', 20, 0);
  const wide = Number(await field(page, 'Width').inputValue());
  expect(wide).toBeGreaterThan(20);
  await page.getByRole('checkbox', { name: /far end/ }).check();
  await pull(page, 'nudge', -15, 0);
  const nudge = Number(await field(page, 'Nudge inward by').inputValue());
  expect(nudge).toBeGreaterThan(10);
  await reckoned(page);

  const { name, text } = await savedText(page);
  expect(name).toBe('a-new-program.yaml');
  const { program, complaints } = readProgram(text, name, demoShelf());
  expect(complaints).toEqual([]);
  expect(program!.stints).toMatchObject([
    { settingMm: inward, lengthMm: longer, widthMm: wide, shape: 'ellipse', nudge: { byMm: nudge } },
  ]);
  const drawn = (await sheet(page))!;
  const plan = planProgram(program!, demoStand);
  const removal = removalOf(program!, plan, { kPerPa: REMOVAL_COEFFICIENT.usual });
  const profile = { stepMm: removal.rings.stepMm, depthNm: profileNm(removal) };
  const peak = peakIndex(profile);
  expect(drawn.peak!.radiusMm).toBe(peak * profile.stepMm);
  expect(drawn.peak!.depthNm).toBeCloseTo(profile.depthNm[peak]!, 6);
  expect(drawn.peak!.depthNm).not.toBeCloseTo(before.peak!.depthNm, 1);
  expectQuiet();
});

test('a finger pulls a handle, and scrolls the page elsewhere on the drawing', async () => {
  const context = await browser.newContext({ viewport: { width: 390, height: 844 }, hasTouch: true });
  const page = await context.newPage();
  await page.goto(`${host.url}&drawlog`);
  await introduce(page);
  await page.getByRole('link', { name: 'Plan' }).click();
  await reckoned(page);
  const devtools = await context.newCDPSession(page);
  const swipe = async (from: { x: number; y: number }, byX: number, byY: number): Promise<void> => {
    const touch = (type: 'touchStart' | 'touchMove' | 'touchEnd', share: number) =>
      devtools.send('Input.dispatchTouchEvent', {
        type,
        touchPoints: type === 'touchEnd' ? [] : [{ x: from.x + byX * share, y: from.y + byY * share }],
      });
    await touch('touchStart', 0);
    for (const share of [0.2, 0.4, 0.6, 0.8, 1]) await touch('touchMove', share);
    await touch('touchEnd', 1);
  };
  const settled = () => page.evaluate(() => scrollY);
  await swipe(await handle(page, 'near end'), 0, -30);
  expect(Number(await field(page, 'Length').inputValue())).toBeGreaterThan(90);
  expect(await settled()).toBe(0);
  const box = (await page.locator('.sheet-view canvas').boundingBox())!;
  await swipe({ x: box.x + 40, y: box.y + 150 }, 0, -120);
  await expect.poll(settled).toBeGreaterThan(40);
});

test('all of it by keyboard: to the page, a stint added and changed, moved, taken back, compared', async () => {
  const { page, expectQuiet } = await openPage(browser, `${host.url}&drawlog`);
  await introduce(page);
  const tabTo = async (name: string | RegExp): Promise<void> => {
    for (let i = 0; i < 80; i++) {
      await page.keyboard.press('Tab');
      const focused = await page.evaluate(() => {
        const at = document.activeElement as HTMLInputElement | null;
        return at?.getAttribute('aria-label') ?? at?.labels?.[0]?.textContent ?? at?.textContent ?? '';
      });
      if (typeof name === 'string' ? focused === name : name.test(focused)) return;
    }
    throw new Error(`no tab stop ${name}`);
  };
  await tabTo('Plan');
  await page.keyboard.press('Enter');
  await reckoned(page);
  const total = (turns: number) => headline(page, new RegExp(`in ${turns}\\sturns`));
  await total(33);
  await tabTo(/^Pin/);
  await page.keyboard.press('Enter');
  await tabTo(/^4 · /);
  await page.keyboard.press('Enter');
  await tabTo('Add');
  await page.keyboard.press('Enter');
  await total(42);
  await tabTo('Setting');
  await page.keyboard.press('ArrowDown');
  await page.keyboard.press('PageDown');
  expect(await field(page, 'Setting').inputValue()).toBe('86.5');
  await tabTo('Length, slider');
  await page.keyboard.press('ArrowRight');
  expect(await field(page, 'Length').inputValue()).toBe('70.5');
  await tabTo('Turns');
  await page.keyboard.press('Control+A');
  await page.keyboard.type('12');
  await total(45);
  const compared = page.getByRole('region', { name: 'Against what you pinned' });
  await compared.getByText(/^12 turns more\.$/).waitFor();
  await compared.getByText(/nm deeper: \d+ nm before, \d+ nm now/).waitFor();
  const { peak, pinnedPeak } = (await sheet(page))!;
  expect(peak!.depthNm).toBeGreaterThan(pinnedPeak!.depthNm);

  // Typing is one step, the slider another, the arrows in the field a third, adding a fourth.
  await page.keyboard.press('Control+Z');
  await total(42);
  await page.keyboard.press('Control+Z');
  expect(await field(page, 'Length').inputValue()).toBe('70');
  await page.keyboard.press('Control+Z');
  expect(await field(page, 'Setting').inputValue()).toBe('92');
  await page.keyboard.press('Control+Z');
  await total(33);
  await page.keyboard.press('Control+Shift+Z');
  await total(42);
  await page.keyboard.press('Control+Y');
  expect(await field(page, 'Setting').inputValue()).toBe('86.5');

  const order = () => page.locator('.card').allTextContents();
  await page.getByRole('button', { name: 'Earlier' }).focus();
  await page.keyboard.press('Enter');
  await page.keyboard.press('Enter');
  expect((await order())[4]).toMatch(/^4 · 9 turns/);
  await page.getByRole('button', { name: 'Delete' }).focus();
  await page.keyboard.press('Enter');
  await total(33);
  expectQuiet();
});

test('a field says what it does not take and keeps what it has; inches are read where mm are shown, and shown where chosen', async () => {
  const { page, expectQuiet } = await openPlan();
  await field(page, 'Setting').fill('200');
  await page.getByText('Between 0 and 150 mm.').waitFor();
  expect((await sheet(page))!.settingMm).toBe(90);
  await field(page, 'Setting').fill('3.5 in');
  await field(page, 'Setting').blur();
  expect(await field(page, 'Setting').inputValue()).toBe('88.9');
  await page.getByRole('combobox', { name: 'Unit of length' }).selectOption('in');
  expect(await field(page, 'Setting').inputValue()).toBe('3.5');
  await field(page, 'Length').fill('3.25');
  await headline(page, /off at 3\.\d+\sin,/);
  const { text } = await savedText(page);
  expect(text).toContain('at: 3.5 in');
  expect(text).toContain('length: 3.25 in');
  expectQuiet();
});

test('turns that are not whole are left out with the reason, also after the field is left', async () => {
  const { page, expectQuiet } = await openPlan();
  await field(page, 'Turns').fill('2.5');
  await page.getByText(/^Only whole turns end where they began; a part of a turn leaves a wedge/).waitFor();
  await field(page, 'Turns').fill('');
  await page.keyboard.type('2.5');
  await field(page, 'Turns').blur();
  await page.getByText(/^"2\.5" was not taken; 11 turns as before\. Only whole turns .*astigmatism/).waitFor();
  // The 2 that was typed on the way to 2.5 is no wish.
  expect(await field(page, 'Turns').inputValue()).toBe('11');
  await headline(page, /in 33\sturns/);
  await field(page, 'Turns').fill('0');
  await field(page, 'Turns').blur();
  await page.getByText(/^"0" was not taken; 11 turns as before\. Between 1 and 20000 turns\./).waitFor();
  await field(page, 'Turns').fill('12');
  await page.getByText(/was not taken/).waitFor({ state: 'detached' });
  expectQuiet();
});

test('the drawing stays beside its fields and leaves the reports alone; Pin stands under it', async () => {
  const { page } = await openPlan();
  const canvas = page.locator('.sheet-view canvas');
  for (const y of [0, 400, 600, 900]) {
    await page.evaluate((to) => scrollTo(0, to), y);
    const [drawn, reports, pin] = await Promise.all(
      [canvas, page.locator('.reports'), page.getByRole('button', { name: /^Pin/ })].map((each) => each.boundingBox()),
    );
    expect(drawn!.y + drawn!.height, `scrolled by ${y}`).toBeLessThanOrEqual(reports!.y);
    expect(pin!.y).toBeGreaterThanOrEqual(drawn!.y + drawn!.height);
  }
});

test('uneven gearing is said, drawn, and mended by the turns on offer', async () => {
  const { page, expectQuiet } = await openPlan();
  await page.getByRole('button', { name: 'Begin a new program' }).click();
  await page
    .getByRole('combobox', { name: 'Lap', exact: true })
    .selectOption({ label: 'Round lap, 60 mm, square facets' });
  await field(page, 'Turns').fill('6');
  await field(page, 'Strokes, out and back').fill('45');
  await page.getByRole('checkbox', { name: /far end/ }).check();
  await field(page, 'One nudge in').fill('4');
  const evenness = page.getByRole('region', { name: 'Evenness' });
  await evenness.getByText(/^Uneven round the glass: 0\.\d\d of 1, with \d+ strokes in 6 turns\.$/).waitFor();
  await page.getByText('Uneven round the glass: stint 1. See Evenness.').waitFor();
  expect((await lastDrawn<DrawnRing>(page, 'ring'))!.nudged).toBe(9);
  const offers = evenness.getByRole('button', { name: /^Take \d+ turns$/ });
  const last = offers.last();
  const turns = Number((await last.textContent())!.replace(/\D/g, ''));
  await last.click();
  await evenness.getByText(new RegExp(`^Even.* in ${turns} turns\\.$`)).waitFor();
  await offers.first().waitFor({ state: 'detached' });
  expect(await field(page, 'Turns').inputValue()).toBe(String(turns));
  expect((await lastDrawn<DrawnRing>(page, 'ring'))!.nudged).toBeGreaterThan(9);
  expectQuiet();
});

test('what the stand cannot follow stands at its field, and what fits is taken with one press', async () => {
  const { page, expectQuiet } = await openPlan();
  await page.getByRole('button', { name: 'Begin a new program' }).click();
  await field(page, 'Strokes, out and back').fill('110');
  await headline(page, /cannot be worked yet: \d things? to mend/);
  const run = page.getByRole('button', { name: /^Run this/ });
  expect(await run.isDisabled()).toBe(true);
  // What is drawn then is no forecast; the work can be kept, for its file reads.
  expect((await sheet(page))!.peak).toBeNull();
  await page.getByText(/it forecasts nothing/).waitFor();
  const kept = await savedText(page);
  expect(readProgram(kept.text, kept.name, demoShelf()).complaints).toEqual([]);
  expect(await page.locator('.card em').textContent()).toBe('to mend');
  const fits = page.getByRole('button', { name: /^Take [\d.]+ a minute$/ });
  await fits.last().click();
  await headline(page, /^Takes/);
  expect(await run.isEnabled()).toBe(true);

  await field(page, 'Setting').fill('149');
  await field(page, 'Length').fill('90');
  await headline(page, /cannot be worked yet/);
  await page.getByText(/its ends reach .* the lap tips off the edge/).waitFor();
  expect((await sheet(page))!.peak).toBeNull();
  await page.getByRole('button', { name: /^Save as a file/ }).click();
  await page.getByText(/^Not saved: the file could not be opened again\. .*Line \d+, length: /).waitFor();
  await field(page, 'Length').fill('20');
  await field(page, 'Setting').fill('148');
  await page.getByText(/tips where its centre passes/).waitFor();
  expectQuiet();
});

test('a plan outlives a reload; a program is opened from a file, or every line that is wrong is said and the plan stays', async () => {
  const { page, expectQuiet } = await openPlan();
  await field(page, 'Turns').fill('14');
  await headline(page, /in 36\sturns/);
  const { text } = await savedText(page);
  await page.reload();
  await headline(page, /in 36\sturns/);

  const file = page.locator('input[type=file]');
  const wrong = text.replace('at: 90 mm', 'at: 90 lbs');
  await file.setInputFiles({ name: 'mine.yaml', mimeType: 'application/yaml', buffer: Buffer.from(wrong) });
  await page.getByText('mine.yaml was not opened, and the plan is as it was.').waitFor();
  const line = wrong.split('\n').findIndex((each) => each.includes('lbs')) + 1;
  await page.getByText(new RegExp(`^Line ${line}, at: `)).waitFor();
  await headline(page, /in 36\sturns/);

  const other = readFileSync(join(ROOT, 'planner/examples/nudge-counts.yaml'));
  await file.setInputFiles({ name: 'other.yaml', mimeType: 'application/yaml', buffer: other });
  const { program } = readProgram(String(other), 'other.yaml', demoShelf());
  const turns = program!.stints.reduce((sum, stint) => sum + stint.turns, 0);
  await headline(page, new RegExp(`in ${turns}\\sturns`));
  await page.getByText('was not opened').waitFor({ state: 'detached' });
  await page.keyboard.press('Control+z');
  await headline(page, /in 36\sturns/);
  expectQuiet();
});

test('"Run this" loads the plan on the stand, and is refused in words while something runs', async () => {
  const own = await Host.start(['--speed', '20']);
  const { page, expectQuiet } = await openPage(browser, `${own.url}&drawlog`);
  await introduce(page);
  await page.getByRole('link', { name: 'Plan' }).click();
  await reckoned(page);
  await field(page, 'Title').fill('Planned here: "5 mm", #1');
  await page.getByRole('textbox', { name: 'Load put on the lap' }).fill('3.5');
  await page.getByRole('button', { name: /^Run this/ }).click();
  await page.getByRole('alert').getByText('Take control first.').waitFor();
  await page.getByRole('button', { name: /^Take control/ }).click();
  await page.getByRole('button', { name: /^Take control/ }).waitFor({ state: 'detached' });
  expect(await page.getByRole('button', { name: /^(Start|Clear)/ }).count(), 'nothing starts from here').toBe(0);
  await page.getByRole('button', { name: /^Run this/ }).click();
  await page.getByRole('main', { name: 'Run' }).waitFor({ timeout: 60_000 });
  await page.getByText('Planned here: "5 mm", #1', { exact: true }).waitFor();
  await page.getByText('Loaded "Planned here: "5 mm", #1".').waitFor();

  await page.getByRole('button', { name: /^Clear/ }).click();
  await page.getByRole('button', { name: /Make ready/ }).click();
  const start = page.getByRole('button', { name: /^Start/ });
  await start.focus();
  await page.keyboard.down('Enter');
  await page.getByRole('heading', { level: 1, name: /Needs you in/ }).waitFor({ timeout: 60_000 });
  await page.keyboard.up('Enter');
  await page.getByRole('link', { name: 'Plan' }).click();
  await reckoned(page);
  // The plan is as it was left.
  expect(await page.getByRole('textbox', { name: 'Load put on the lap' }).inputValue()).toBe('3.5');
  await page.getByRole('button', { name: /^Run this/ }).click();
  await page
    .getByRole('alert')
    .getByText(/when this run has ended/)
    .waitFor();
  await page.keyboard.press('Shift+F8');
  await page.getByRole('link', { name: 'Run' }).click();
  await page.getByRole('heading', { level: 1, name: /Stopped at turn/ }).waitFor();
  await page.goBack();
  await page.getByRole('main', { name: 'Plan' }).waitFor();
  expectQuiet();
  await own.stop();
});

describe('for everyone', () => {
  test.each([
    ['wide', { width: 1280, height: 720 }],
    ['narrow', { width: 390, height: 844 }],
  ] as const)('axe finds nothing, %s, in any state or look', async (where, size) => {
    const { page, expectQuiet } = await openPlan(size);
    await scan(page, where);
    await page.getByRole('button', { name: /^Pin/ }).click();
    await page.getByRole('button', { name: '4 times' }).click();
    await field(page, 'Work this group').fill('5');
    await reckoned(page);
    await scan(page, `${where}, a repeat, pinned`);
    await page.getByRole('button', { name: /^4 · / }).click();
    await page.getByRole('combobox', { name: 'The lap', exact: true }).selectOption('byHand');
    await field(page, 'Strokes, out and back').fill('120');
    await headline(page, /to mend/);
    await scan(page, `${where}, with complaints`);
    expectQuiet();
  });

  test('targets are at least 44 px, the main commands 64 px', async () => {
    const { page } = await openPlan();
    for (const role of ['button', 'textbox', 'combobox', 'slider', 'link'] as const)
      for (const target of await page.getByRole(role).all()) {
        const box = await target.boundingBox();
        const isLook = await target.evaluate((element) => element.closest('.look') !== null);
        if (box === null || isLook) continue;
        expect(Math.min(box.width, box.height), (await target.textContent()) ?? '').toBeGreaterThanOrEqual(44);
      }
    for (const command of await page.getByRole('region', { name: 'Commands' }).getByRole('button').all()) {
      const box = (await command.boundingBox())!;
      expect(Math.min(box.width, box.height)).toBeGreaterThanOrEqual(64);
    }
  });

  test('at 1280x720 the drawing, the sentence and setting, length and turns are seen without scrolling', async () => {
    const { page } = await openPlan();
    const bar = (await page.getByRole('region', { name: 'Commands' }).boundingBox())!;
    for (const seen of [
      page.locator('.sheet-view canvas'),
      page.getByRole('heading', { level: 1 }),
      field(page, 'Setting'),
      field(page, 'Length'),
      field(page, 'Turns'),
    ]) {
      const box = (await seen.boundingBox())!;
      expect(box.y + box.height).toBeLessThanOrEqual(bar.y);
    }
    expect(await page.evaluate(() => scrollY)).toBe(0);
  });

  test('at 390 px nothing is cut off sideways', async () => {
    const { page } = await openPlan({ width: 390, height: 844 });
    const overflow = await page.evaluate(
      () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
    );
    expect(overflow).toBeLessThanOrEqual(0);
  });

  test('a field that gets the focus is not hidden under the bar at the foot', async () => {
    const { page } = await openPlan();
    for (const name of ['One clocking in', 'Load put on the lap', 'Title']) {
      await page.evaluate(() => scrollTo(0, 0));
      await field(page, name).focus();
      const box = (await field(page, name).boundingBox())!;
      const bar = (await page.getByRole('region', { name: 'Commands' }).boundingBox())!;
      expect(box.y + box.height, name).toBeLessThanOrEqual(bar.y);
    }
  });
});
