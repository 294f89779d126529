/** johnny-five on the line of the virtual board: what it switches and reads arrives at the pins. Its timers run on vitest's clock. */
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { fiveKit } from '../../firmware-host/accessories/five-kit';
import type { Kit } from '../../firmware-host/accessories/kit';
import type { Accessories } from '../../planner/stand/accessories';
import { OPEN, Rig } from '../support/rig';

const ACCESSORIES: Accessories = {
  slurry: { every: { count: 1, unit: 'turns' }, pump: { pin: 42, doseSeconds: 1 } },
  tower: { red: 43, yellow: 44, green: 45 },
  buzzer: 46,
  footSwitch: 49,
  sensors: [0, 2].map((channel) => ({
    name: `Sensor ${channel}`,
    rule: { measures: 'flow', channel, atZero: 0, atFull: 1, least: null, most: null },
  })),
};

beforeEach(() => {
  vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout', 'setInterval', 'clearInterval', 'Date'] });
});
afterEach(() => {
  vi.useRealTimers();
});

/** Both clocks go on together, and promises get their turn. */
async function both(rig: Rig, seconds: number): Promise<void> {
  for (let left = seconds; left > 1e-9; left -= 0.01) {
    rig.advance(0.01);
    vi.advanceTimersByTime(10);
    await new Promise(setImmediate);
  }
}

async function begin(): Promise<{ rig: Rig; kit: Kit }> {
  const rig = new Rig();
  // The board has told its name before anybody listened, as on iron.
  rig.advance(1);
  await rig.settle(rig.link.open(OPEN));
  let kit: Kit | null = null;
  void fiveKit(rig.link, ACCESSORIES, rig.simulation.clock).then((made) => {
    kit = made;
  });
  await both(rig, 1.5);
  if (kit === null) throw new Error('not ready');
  return { rig, kit };
}

it('switches relays and lamps', async () => {
  const { rig, kit } = await begin();
  const uses = (): string[] => [0, 1, 2, 3, 4].map((number) => rig.stand.accessory(number));
  expect(uses()).toEqual(['low', 'low', 'low', 'low', 'low']);
  kit.set(42, true);
  kit.set(45, true);
  await both(rig, 0.1);
  expect(uses()).toEqual(['high', 'low', 'low', 'high', 'low']);
  kit.set(42, false);
  await both(rig, 0.1);
  expect(uses()).toEqual(['low', 'low', 'low', 'high', 'low']);
  kit.close();
  await both(rig, 0.1);
  expect(uses()).toEqual(['low', 'low', 'low', 'low', 'low']);
  expect(Object.values(rig.link.counters()).every((count) => count === 0)).toBe(true);
  expect(rig.status.latchedStop).toBeNull();
});

it('reads its sensors', async () => {
  const { rig, kit } = await begin();
  rig.stand.setAnalog(0, 1023);
  rig.stand.setAnalog(2, 341);
  await both(rig, 1);
  expect(kit.reading(0)).toBe(1);
  expect(kit.reading(2)).toBeCloseTo(1 / 3, 3);
  expect(kit.reading(5)).toBeNull();
  kit.close();
});

it('tells every press of the foot switch', async () => {
  const { rig, kit } = await begin();
  let presses = 0;
  kit.onFootSwitch(() => presses++);
  for (const high of [false, true, false, true]) {
    rig.stand.setContact(7, high);
    await both(rig, 0.1);
  }
  expect(presses).toBe(2);
  kit.close();
});

it('puts everything back after the controller took its outputs, and hears the foot switch after a reboot', async () => {
  const { rig, kit } = await begin();
  let presses = 0;
  kit.onFootSwitch(() => presses++);
  kit.set(45, true);
  await both(rig, 0.1);
  rig.hang(true);
  await both(rig, 1);
  expect(rig.stand.accessory(3)).toBe('input');
  rig.hang(false);
  await both(rig, 0.2);
  kit.renew();
  await both(rig, 0.1);
  expect(rig.stand.accessory(3)).toBe('high');
  expect(rig.stand.accessory(0)).toBe('low');
  rig.stand.reboot('watchdog');
  await both(rig, 0.3);
  expect(rig.stand.accessory(3)).toBe('input');
  kit.renew();
  await both(rig, 0.1);
  expect(rig.stand.accessory(3)).toBe('high');
  rig.stand.setContact(7, false);
  await both(rig, 0.1);
  expect(presses).toBe(1);
  kit.close();
});

it('says so when the controller does not answer', async () => {
  const rig = new Rig();
  const silent = { onFirmata: () => () => {}, writeFirmata: () => {} };
  const failed = fiveKit(silent, ACCESSORIES, rig.simulation.clock).catch((error: Error) => error.message);
  await both(rig, 6);
  expect(await failed).toBe('The controller does not answer for its accessory pins.');
});
