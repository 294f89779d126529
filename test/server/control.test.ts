/** One page commands, the others watch, everyone may stop; news reaches every page whole. */
import { afterEach, beforeEach, expect, test } from 'vitest';
import type { View } from '../../firmware-host/server/messages';
import { askAnything, type Page, ServerUnderTest } from './harness';

let server: ServerUnderTest;
beforeEach(async () => {
  server = await ServerUnderTest.start();
});
afterEach(async () => {
  await server.close();
});

function nextView(page: Page, wanted: (view: View) => boolean): Promise<View> {
  return new Promise((resolve) => {
    const listen = (view: View): void => {
      if (!wanted(view)) return;
      page.off('view', listen);
      resolve(view);
    };
    page.on('view', listen);
  });
}

test('without control a page may stop and pause, and nothing else', async () => {
  const { page } = await server.connected();
  for (const ask of ['start', 'resume', 'clear', 'reset', 'goOn', 'startAnew', 'done'])
    expect((await askAnything(page, { ask })).ok, ask).toBe(false);
  for (const ask of ['stop', 'pause', 'stopAtTurnEnd']) expect((await askAnything(page, { ask })).ok, ask).toBe(true);
  expect(server.desk.asked.map((request) => request.ask)).toEqual(['stop', 'pause', 'stopAtTurnEnd']);
});

test('of two pages that command at once the one in control is obeyed, the other is told who has it', async () => {
  const one = await server.connected();
  const two = await server.connected();
  await askAnything(one.page, { ask: 'takeControl', name: 'Ada' });
  const [first, second] = await Promise.all([
    askAnything(one.page, { ask: 'pace', target: 0.5 }),
    askAnything(two.page, { ask: 'pace', target: 1 }),
  ]);
  expect(first).toEqual({ ok: true });
  expect(second.ok).toBe(false);
  if (!second.ok) expect(second.words).toContain('Ada is in control');
  expect(server.desk.asked).toEqual([{ ask: 'pace', target: 0.5 }]);
});

test('control taken from someone is told and written down; the one before may no longer command', async () => {
  const one = await server.connected();
  const two = await server.connected();
  await askAnything(one.page, { ask: 'takeControl', name: 'Ada' });
  const told = nextView(one.page, (view) => view.control.holder === 'Ben');
  await askAnything(two.page, { ask: 'takeControl', name: 'Ben' });
  await told;
  expect(server.desk.noted).toEqual(['Ben took control from Ada.']);
  expect((await askAnything(one.page, { ask: 'start' })).ok).toBe(false);
  expect((await askAnything(two.page, { ask: 'start' })).ok).toBe(true);
});

test('when the page in control goes away the run is left alone and the others are told', async () => {
  const one = await server.connected();
  const two = await server.connected();
  await askAnything(one.page, { ask: 'takeControl', name: 'Ada' });
  const told = nextView(two.page, (view) => view.control.holder === null);
  one.page.close();
  await told;
  expect(server.desk.asked).toEqual([]);
  expect(server.desk.noted[0]).toContain('The run goes on');
});

test('a real start waits for the cautions; a virtual one does not', async () => {
  const { page } = await server.connected();
  await askAnything(page, { ask: 'takeControl', name: 'Ada' });
  expect((await askAnything(page, { ask: 'start' })).ok).toBe(true);
  server.desk.virtual = false;
  const refused = await askAnything(page, { ask: 'start' });
  expect(refused.ok).toBe(false);
  await askAnything(page, { ask: 'acknowledgeCautions', name: 'Ada' });
  expect((await askAnything(page, { ask: 'start' })).ok).toBe(true);
});

test('a page that is slow to take views skips to the newest and always gets the last', async () => {
  const page = server.page();
  const seen: string[] = [];
  const waiting: (() => void)[] = [];
  const first = new Promise<void>((resolve) => page.once('view', () => resolve()));
  page.on('view', (view, taken) => {
    seen.push(view.words);
    waiting.push(taken);
  });
  await first;
  const last = new Promise<void>((resolve) => {
    page.on('view', (view) => {
      if (view.words === 'change 99') resolve();
    });
  });
  const firstTick = new Promise((resolve) => page.once('tick', resolve));
  for (let i = 0; i < 100; i++) server.desk.become(`change ${i}`);
  await firstTick;
  expect(seen).toEqual(['Ready']);
  waiting.shift()!();
  await last;
  expect(seen).toEqual(['Ready', 'change 99']);
});

test('ticks carry the time they left and count up', async () => {
  const { page } = await server.connected();
  const ticks = await new Promise<{ number: number; sentAtMs: number }[]>((resolve) => {
    const got: { number: number; sentAtMs: number }[] = [];
    page.on('tick', (tick) => {
      got.push(tick);
      if (got.length === 3) resolve(got);
    });
  });
  expect(ticks.map((tick) => tick.sentAtMs)).toEqual([1_000_000, 1_000_000, 1_000_000]);
  expect(ticks[2]!.number - ticks[0]!.number).toBe(2);
});

test('a desk that fails is answered in words and takes nothing down', async () => {
  const { page } = await server.connected();
  await askAnything(page, { ask: 'takeControl', name: 'Ada' });
  server.desk.ask = () => Promise.reject(new Error('the worker is gone'));
  const answer = await askAnything(page, { ask: 'start' });
  expect(answer).toEqual({ ok: false, words: expect.stringContaining('the worker is gone') });
});
