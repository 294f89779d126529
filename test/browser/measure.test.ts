/**
 * The Measure page in a real browser: readings by keyboard, files, slips, suggestion, virtual glass, learning; and for everyone. What the
 * page says is compared with what the planner says of the same file.
 */
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import type { Browser, Locator, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest';
import { readMeasurement } from '../../planner/figure/read-measurement';
import { reduce } from '../../planner/figure/reduce';
import type { KnifeEdgeMeasurement } from '../../planner/figure/types';
import { readProgram } from '../../planner/program/read-program';
import { demoShelf } from '../program/reading';
import { scan } from './axe';
import { closePages, Host, hold, introduce, launchBrowser, openPage, ROOT, untilHeadline } from './support';

const FIRST = readFileSync(join(ROOT, 'planner/examples/measured/first.yaml'), 'utf8');
const shelf = demoShelf();

let browser: Browser;
let host: Host;
beforeAll(async () => {
  browser = await launchBrowser();
  host = await Host.start(['--speed', '200']);
});
afterEach(() => closePages(browser));
afterAll(async () => {
  await browser.close();
  await host.stop();
});

async function openMeasure(size?: { width: number; height: number }) {
  const opened = await openPage(browser, host.url, size);
  await introduce(opened.page);
  await opened.page.getByRole('link', { name: 'Measure' }).click();
  await opened.page.getByRole('button', { name: 'Open the example' }).waitFor();
  return opened;
}

const says = (page: Page, words: string | RegExp): Promise<void> =>
  page.getByRole('heading', { level: 1, name: words }).waitFor({ timeout: 60_000 });
const field = (page: Page, name: string | RegExp): Locator => page.getByRole('textbox', { name, exact: true });

async function openExample(page: Page): Promise<void> {
  await page.getByRole('button', { name: 'Open the example' }).click();
  await says(page, /^The zone at 90 mm stands 89 nm high/);
}

async function saved(page: Page, button: RegExp): Promise<{ name: string; text: string }> {
  const coming = page.waitForEvent('download');
  await page.getByRole('button', { name: button }).click();
  const file = await coming;
  return { name: file.suggestedFilename(), text: readFileSync((await file.path())!, 'utf8') };
}

function readings(text: string): KnifeEdgeMeasurement {
  const { measurement, complaints } = readMeasurement(text, 'x.yaml', shelf, () => null);
  expect(complaints).toEqual([]);
  return measurement as KnifeEdgeMeasurement;
}

test('one take typed by keyboard alone says in sentences what reduce says', async () => {
  const { page, expectQuiet } = await openMeasure();
  await says(page, 'Measure, and see what the glass needs');
  const take = readings(FIRST).takes[0]!.readingMm;
  await field(page, 'Take 1, 0 to 14.9 mm').focus();
  for (const [i, reading] of take.entries()) {
    await page.keyboard.type(String(reading));
    if (i === 4) await says(page, '5 readings to go');
    await page.keyboard.press('Enter');
  }
  await says(page, 'Say whether the source moves with the knife');
  await page.getByRole('radio', { name: 'moves with the knife' }).focus();
  await page.keyboard.press('Space');
  await page
    .getByRole('button', { name: /^Save as a file/ })
    .and(page.locator(':enabled'))
    .waitFor();
  const file = await saved(page, /^Save as a file/);
  const { findings } = reduce(readings(file.text));
  await says(page, findings[0]!.words);
  for (const { words } of findings.slice(1))
    await page.getByRole('listitem').getByText(words, { exact: true }).waitFor();
  expect(readings(file.text).takes[0]!.readingMm).toEqual(take);

  // All of it is one reading after the other: undone one by one, and done again.
  await page.keyboard.press('Control+Z');
  await says(page, 'Say whether the source moves with the knife');
  await page.keyboard.press('Control+Z');
  await says(page, '1 reading to go');
  await page.keyboard.press('Control+Y');
  await page.keyboard.press('Control+Y');
  await says(page, findings[0]!.words);
  expectQuiet();
});

test('a slip stands at its field and costs its take only; edges that overlap leave no figure, and no reading is lost', async () => {
  const { page, expectQuiet } = await openMeasure();
  await openExample(page);
  await field(page, 'Take 2, 45 to 60 mm').fill('twelve');
  await page.getByText('45 to 60 mm: This is not a number.').waitFor();
  await page.getByText('From 2 of 3 takes: what is to be mended is left out.').waitFor();
  expect(await field(page, 'Take 2, 45 to 60 mm').getAttribute('aria-invalid')).toBe('true');
  await field(page, 'Take 2, 45 to 60 mm').fill('127.1');
  await page.getByText(/45 to 60 mm: .*Check the decimal point and the unit/).waitFor();
  await field(page, 'Take 2, 45 to 60 mm').fill('12.71');
  await page.getByText('From 2 of 3 takes').waitFor({ state: 'detached' });
  // Equal and falling readings are ordinary.
  await field(page, 'Take 2, 60 to 75 mm').fill('12.71');
  await says(page, /^The zone at 89 mm stands/);

  await page.getByRole('button', { name: 'Edit edges' }).click();
  await field(page, 'Window 5 to, mm').fill('160');
  await page.getByText(/Window 5: This window reaches to 160 mm, but the glass ends at 150 mm/).waitFor();
  await says(page, 'The figure waits: 1 thing to mend');
  await field(page, 'Window 5 to, mm').fill('75');
  await field(page, 'Window 6 from, mm').fill('70');
  // The edge is shared: both windows moved, nothing overlaps.
  expect(await field(page, 'Window 5 to, mm').inputValue()).toBe('70');
  await says(page, /^The zone at \d+ mm stands/);
  await page.getByText(/^Window 5: /).waitFor({ state: 'detached' });
  expect(await field(page, 'Take 3, 135 to 149 mm').inputValue()).toBe('15.77');
  expectQuiet();
});

test('a file goes out and comes back the same, in inches too; other kinds and wrong ones are opened or refused in words', async () => {
  const { page, expectQuiet } = await openMeasure();
  const input = page.locator('input[type=file]');
  const choose = (...files: [name: string, text: string][]): Promise<void> =>
    input.setInputFiles(files.map(([name, text]) => ({ name, mimeType: 'text/plain', buffer: Buffer.from(text) })));
  await choose(['first.yaml', FIRST]);
  await says(page, /^The zone at 90 mm stands 89 nm high/);
  await page.getByText('Of a virtual glass: nothing of it is of real iron or glass.').waitFor();
  const out = await saved(page, /^Save as a file/);
  expect(out.name).toBe('before-the-raised-ring-was-eased.yaml');
  expect({ ...readings(out.text), file: '' }).toEqual({ ...readings(FIRST), file: '' });

  await page.getByRole('combobox', { name: 'Unit of length' }).selectOption('in');
  await says(page, /^The zone at 3\.54 in stands 89 nm high/);
  await field(page, /^Take 1, 0 to 0\.59\d+ in$/).waitFor();
  const inches = await saved(page, /^Save as a file/);
  expect(inches.text).toMatch(/^windows: 0\.\.0\.59\d+ .* in$/m);
  expect(Math.abs(readings(inches.text).takes[2]!.readingMm[9]! - 15.77)).toBeLessThan(0.5e-5 * 25.4 + 1e-9);
  await page.getByRole('combobox', { name: 'Unit of length' }).selectOption('mm');
  await field(page, 'Take 1, 0 to 15 mm').waitFor();

  await choose(['mine.yaml', FIRST.replace('60..75', '60..80')]);
  await page.getByText('It was not opened, and what was here is as it was.').waitFor();
  await page.getByText(/mine\.yaml, line \d+, windows: This window overlaps/).waitFor();
  await says(page, /^The zone at 90 mm stands/);

  const rows = Array.from({ length: 150 }, (_, r) => `${r},${(40 * Math.exp(-(((r - 70) / 15) ** 2))).toFixed(2)}`);
  const table = `radius mm,height nm\n${rows.join('\n')}\n`;
  const profile = 'wholeturn: 1\nmeasurement: profile\nglass: glass-300\nof: surface\ncsv: table.csv\n';
  await choose(['profile.yaml', profile]);
  await page.getByText(/Choose the measurement and its table together/).waitFor();
  await choose(['table.csv', table], ['profile.yaml', profile]);
  await says(page, /^The zone at (69|70|71) mm stands (39|40) nm high/);
  const list =
    'wholeturn: 1\nmeasurement: zernike\nglass: glass-300\norder: noll\nscale: rms\nof: surface\nunitCircle: 298 mm\ncoefficients: { 11: 20 nm }\n';
  await choose(['list.yaml', list]);
  const found = readMeasurement(list, 'list.yaml', shelf, () => null).measurement!;
  await says(page, reduce(found).findings[0]!.words);
  // Each opening is one step.
  await page.getByRole('button', { name: 'Undo' }).click();
  await says(page, /^The zone at (69|70|71) mm/);
  expectQuiet();
});

test('what was entered outlives another page and a reload; three diameters and windows are laid out', async () => {
  const { page, expectQuiet } = await openMeasure();
  await page.getByRole('button', { name: 'Three diameters at 60°' }).click();
  await page.getByRole('button', { name: /^Take 3 along 120°, mm$/ }).waitFor();
  await field(page, 'Windows of equal width').fill('2');
  await page.getByText('A whole number from 3 to 40; eight or more show zones.').waitFor();
  await field(page, 'Windows of equal width').fill('8');
  await page.getByRole('button', { name: 'Lay out 8 equal windows' }).click();
  await field(page, 'Take 2, 18.625 to 37.25 mm').fill('0.35');
  await page.getByRole('link', { name: 'Run' }).click();
  await page.getByRole('main', { name: 'Run' }).waitFor();
  await page.getByRole('link', { name: 'Measure' }).click();
  expect(await field(page, 'Take 2, 18.625 to 37.25 mm').inputValue()).toBe('0.35');
  await page.reload();
  await field(page, 'Take 2, 18.625 to 37.25 mm').waitFor();
  expect(await field(page, 'Take 2, 18.625 to 37.25 mm').inputValue()).toBe('0.35');
  await field(page, 'The glass').fill('24');
  await field(page, 'The room').fill('20');
  expectQuiet();
});

test('a glass that has not rested is said to wait', async () => {
  const { page } = await openMeasure();
  await openExample(page);
  await page.getByText(/^Read the zones once more, five minutes or longer/).waitFor();
  await field(page, 'The glass').fill('22.5');
  await page
    .getByText(/^Wait: the glass is 2\.3 degrees warmer than the room/)
    .first()
    .waitFor();
});

test('a suggestion: at once, then whole turns side by side; sent to the Plan page, where its text is read', async () => {
  const { page, expectQuiet } = await openMeasure();
  const solver: string[] = [];
  page.on('response', (response) => {
    if (/highs.*\.wasm$/.test(response.url())) solver.push(response.url());
  });
  await openExample(page);
  const next = page.getByRole('region', { name: 'What next' });
  await next.getByRole('combobox', { name: 'Lap to work with' }).selectOption('round-60');
  await next.getByText(/A shallow test run comes first/).waitFor();
  await next.getByRole('button', { name: 'Ask for a suggestion' }).click();
  await next.getByRole('article', { name: 'Test run' }).waitFor({ timeout: 60_000 });

  await next.getByRole('checkbox', { name: 'I know how fast the lap cuts' }).check();
  await next.getByRole('textbox', { name: 'known to' }).fill('0');
  await next.getByText('Between 1 and 200 %.').waitFor();
  expect(await next.getByRole('button', { name: 'Ask for a suggestion' }).isDisabled()).toBe(true);
  await next.getByRole('textbox', { name: 'known to' }).fill('10');
  await next.getByText(/Ask again\.$/).waitFor();
  await next.getByRole('button', { name: 'Ask for a suggestion' }).click();
  for (const name of ['Suggested', 'Gentlest', 'Quickest'])
    await next.getByRole('article', { name }).waitFor({ timeout: 60_000 });
  await next
    .getByRole('paragraph')
    .filter({ hasText: /^Suggested: \d+ turns in \d stints? with Round lap/ })
    .last()
    .waitFor();
  await next.getByText(/Limited by /).waitFor();
  expect(solver.length, 'the solver comes when it is asked for, once').toBe(1);
  const minutes = async (name: string): Promise<number> => {
    const words = (await next.getByRole('article', { name }).textContent()) ?? '';
    return Number(/work(\d+) min/.exec(words)?.[1]);
  };
  expect(await minutes('Gentlest')).toBeLessThan(await minutes('Suggested'));
  await next.getByText(/^Take off only what stands high: [\d.]+ mm³, [\d.]+ (h|min), \d+ nm stay low\.$/).waitFor();

  const { text } = await saved(page, /^Save the program: suggested/);
  const { program, complaints } = readProgram(text, 'suggested.yaml', shelf);
  expect(complaints).toEqual([]);
  const turns = program!.stints.reduce((sum, stint) => sum + stint.turns, 0);
  await next.getByRole('button', { name: 'Send to the Plan page: suggested' }).click();
  await page.getByRole('main', { name: 'Plan' }).waitFor();
  await page.getByRole('heading', { level: 1, name: new RegExp(`in ${turns}\\sturns`) }).waitFor({ timeout: 60_000 });
  expectQuiet();
});

test('the virtual glass is read, worked and read again; the run between teaches the coefficient', async () => {
  const { page, expectQuiet } = await openMeasure();
  await page.getByRole('button', { name: 'Take control' }).click();
  const readAndKeep = async (): Promise<void> => {
    await page.getByRole('button', { name: 'Read the virtual glass' }).click();
    // The first time the host's thread for it must come up, which on a busy machine takes its time.
    await page.getByText('Of a virtual glass: nothing of it is of real iron or glass.').waitFor({ timeout: 60_000 });
    await page.getByRole('button', { name: /^Keep it/ }).click();
    await page.getByRole('button', { name: /^Kept as number \d+/ }).waitFor({ timeout: 60_000 });
  };
  await readAndKeep();
  // Number and headline stand in the list, and the same readings are not offered to be kept again.
  const list = page.getByRole('region', { name: 'Kept measurements' });
  await list.getByText(/^Number 1: /).waitFor();
  const headed = (await page.getByRole('heading', { level: 1 }).textContent())!;
  await list.getByText(headed, { exact: true }).waitFor();
  await page.getByRole('link', { name: 'Plan' }).click();
  await page.getByRole('link', { name: 'Measure' }).click();
  await page.getByRole('button', { name: 'Kept as number 1' }).waitFor();
  await page.getByRole('link', { name: 'Run' }).click();
  await page.getByRole('button', { name: /^Clear/ }).click();
  await page.getByRole('button', { name: /Make ready/ }).click();
  await untilHeadline(page, /hold Start/);
  await hold(page, /^Start/);
  await untilHeadline(page, /Done|done|complete|Complete/);
  await page.getByRole('link', { name: 'Measure' }).click();
  await readAndKeep();
  const learn = page.getByRole('region', { name: 'Learn' });
  await learn.getByRole('button', { name: 'Learn' }).click();
  const said = learn.getByText(/: \d\.\d\de-13 \/Pa for the next run, to \d+ %, from 1 measured run\.$/);
  await said.waitFor({ timeout: 60_000 });
  // Hidden in the virtual glass: 6.5e-13 per Pa.
  const words = (await said.textContent())!;
  const [, k, sigma] = /: (\S+) \/Pa for the next run, to (\d+) %/.exec(words)!;
  expect(Math.abs(Number(k) / 6.5e-13 - 1)).toBeLessThan((3 * Number(sigma)) / 100);
  await learn.getByText('Of a virtual stand: it holds for a virtual stand only.').waitFor();
  await learn.getByRole('img', { name: /^Departure from the forecast's shape/ }).waitFor();
  // It is used for what is suggested next.
  await page
    .getByText(/Star lap, 80 mm, 8 points: \d\.\d\de-13 \/Pa, known to \d+ % from 1 virtual run\.$/)
    .waitFor({ timeout: 60_000 });
  expectQuiet();
});

describe('for everyone', () => {
  test.each([
    // As tall as the page, so that nothing lies under the bar at the foot: what does is scrolled out from there.
    ['wide', { width: 1280, height: 3_000 }],
    ['narrow', { width: 390, height: 5_600 }],
  ] as const)('axe finds nothing, %s; nothing is cut off sideways', async (where, size) => {
    const { page, expectQuiet } = await openMeasure(size);
    if (where === 'wide') await scan(page, 'empty');
    await openExample(page);
    const next = page.getByRole('region', { name: 'What next' });
    await next.getByRole('combobox', { name: 'Lap to work with' }).selectOption('round-60');
    await next.getByRole('checkbox', { name: 'I know how fast the lap cuts' }).check();
    await next.getByRole('button', { name: 'Ask for a suggestion' }).click();
    await next.getByRole('article', { name: 'Quickest' }).waitFor({ timeout: 60_000 });
    await field(page, 'Take 2, 45 to 60 mm').fill('twelve');
    await page.getByText('From 2 of 3 takes').waitFor();
    await page.getByRole('button', { name: 'Edit edges' }).click();
    await scan(page, `${where}, with a suggestion and a complaint`);
    const overflow = await page.evaluate(
      () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
    );
    expect(overflow).toBeLessThanOrEqual(0);
    expectQuiet();
  });

  test('targets are at least 44 px, the main commands 64 px; sentence, drawing and first take are seen without scrolling', async () => {
    const { page } = await openMeasure();
    await openExample(page);
    const bar = (await page.getByRole('region', { name: 'Commands' }).boundingBox())!;
    for (const seen of [page.getByRole('heading', { level: 1 }), field(page, 'Take 1, 75 to 90 mm')]) {
      const box = (await seen.boundingBox())!;
      expect(box.y + box.height).toBeLessThanOrEqual(bar.y);
    }
    await page.getByRole('button', { name: 'Edit edges' }).click();
    const small = await page.evaluate(() => {
      const targets = document.querySelectorAll<HTMLElement>(
        'button, a, select, input:not([type=file], [type=radio], [type=checkbox]), label:has([type=radio], [type=checkbox])',
      );
      return [...targets]
        .filter((target) => target.closest('.look') === null)
        .map((target) => ({ words: target.ariaLabel ?? target.textContent, box: target.getBoundingClientRect() }))
        .filter(({ box }) => Math.min(box.width, box.height) < 44)
        .map(({ words, box }) => `${words}: ${box.width} x ${box.height}`);
    });
    expect(small).toEqual([]);
    for (const command of await page.getByRole('region', { name: 'Commands' }).getByRole('button').all()) {
      const box = (await command.boundingBox())!;
      expect(Math.min(box.width, box.height)).toBeGreaterThanOrEqual(64);
    }
  });
});

test('no page fetches more than 150 kB of script, packed, before a suggestion is asked for', async () => {
  const packed = async (name: string): Promise<{ bytes: number; files: number }> => {
    const context = await browser.newContext();
    const page = await context.newPage();
    const scripts = new Map<string, Promise<Buffer>>();
    context.on('response', (response) => {
      if (/\.js$/.test(new URL(response.url()).pathname)) scripts.set(response.url(), response.body());
    });
    await page.goto(host.url);
    await introduce(page);
    await page.getByRole('link', { name }).click();
    await page.getByRole('main', { name }).waitFor();
    if (name === 'Measure') await openExample(page);
    if (name === 'Plan')
      await page.locator('[aria-label="What stays behind"][aria-busy="false"]').waitFor({ state: 'attached' });
    let bytes = 0;
    for (const body of await Promise.all(scripts.values())) bytes += gzipSync(body).length;
    return { bytes, files: scripts.size };
  };
  for (const name of ['Measure', 'Plan', 'Run']) {
    const { bytes, files } = await packed(name);
    expect(files, name).toBeGreaterThanOrEqual(name === 'Run' ? 1 : 2);
    expect(bytes, name).toBeLessThan(150_000);
  }
  // With the solver's loader and what else only a suggestion needs; its WebAssembly comes on top, once.
  const assets = join(ROOT, 'web-ui', 'dist', 'assets');
  const scripts = readdirSync(assets).filter((file) => file.endsWith('.js'));
  const all = scripts.reduce((sum, file) => sum + gzipSync(readFileSync(join(assets, file))).length, 0);
  expect(all).toBeLessThan(250_000);
});
