/** Accessories of a run, modelled: doses, waiting for a person, sensors beyond their bounds, lamps, buzzer, foot switch. */
import { describe, expect, it } from 'vitest';
import { ModelKit } from '../../firmware-host/accessories/model-kit';
import { attendVirtual } from '../../firmware-host/run/attended';
import type { Accessories } from '../../planner/stand/accessories';
import { ask, planOf, quickStand, reach, readyRun, START } from '../run/support';
import { program } from '../support/programs';

const NONE: Accessories = { slurry: null, tower: null, buzzer: null, footSwitch: null, sensors: [] };
const PUMP = 42;
const TOWER = { red: 43, yellow: 44, green: 45 };
const BUZZER = 46;
const walked = program([{ turns: 3 }], { turntableRpm: 5 });

/** Counts how often each pin was switched on. */
class CountingKit extends ModelKit {
  readonly times = new Map<number, number>();

  override set(pin: number, on: boolean): void {
    if (on && !this.on.has(pin)) this.times.set(pin, (this.times.get(pin) ?? 0) + 1);
    super.set(pin, on);
  }
}

async function begin(accessories: Partial<Accessories>) {
  const stand = { ...quickStand, accessories: { ...NONE, ...accessories } };
  const plan = planOf(walked, stand);
  const ready = await readyRun(plan);
  const kit = new CountingKit();
  const attendant = attendVirtual(plan, ready.run, kit)!;
  return { ...ready, kit, attendant };
}

describe('slurry', () => {
  it('by pump: a dose whenever so many strokes are made, for as long as a dose is, without waiting', async () => {
    const every = { count: 9, unit: 'strokes' as const };
    const { run, kit, conductor, attendant } = await begin({
      slurry: { every, pump: { pin: PUMP, doseSeconds: 1.5 } },
    });
    await ask(run, START, 'Execute');
    expect(attendant.shown()).toEqual([{ name: 'Slurry, by pump', words: 'due in 9 strokes' }]);
    let pumping = 0;
    while (conductor.snapshot().state === 'Execute') {
      await run.until(() => false, 0.02);
      if (kit.on.has(PUMP)) pumping += 0.02;
    }
    await reach(run, 'Complete');
    // 27 strokes (9 a turn): the dose is counted from the end of pumping, so two fit.
    const strokes = planOf(walked, quickStand).geared[0]!.strokes;
    expect(strokes).toBe(26);
    expect(kit.times.get(PUMP)).toBe(2);
    expect(pumping).toBeGreaterThan(2 * 1.4);
    expect(pumping).toBeLessThan(2 * 1.7);
    expect(conductor.result().turnsWalked).toBe(3);
    expect(kit.on.has(PUMP)).toBe(false);
  });

  it('none in an air run: nothing is on the glass that could fall dry', async () => {
    const every = { count: 9, unit: 'strokes' as const };
    const { run, kit } = await begin({ slurry: { every, pump: { pin: PUMP, doseSeconds: 1.5 } } });
    await ask(run, { kind: 'command', command: 'start', from: 'beginning', air: true }, 'Complete');
    expect(kit.times.get(PUMP)).toBeUndefined();
  });

  it('the pump stops with the walk, and gives the whole dose when it goes on', async () => {
    const every = { count: 1, unit: 'turns' as const };
    const { run, kit } = await begin({ slurry: { every, pump: { pin: PUMP, doseSeconds: 5 } } });
    await ask(run, START, 'Execute');
    await run.until(() => kit.on.has(PUMP), 60);
    await ask(run, { kind: 'command', command: 'hold' }, 'Held');
    expect(kit.on.has(PUMP)).toBe(false);
    await run.until(() => false, 10);
    expect(kit.on.has(PUMP)).toBe(false);
    await ask(run, { kind: 'command', command: 'unhold' }, 'Execute');
    await run.until(() => kit.on.has(PUMP), 1);
    expect(kit.times.get(PUMP)).toBe(2);
  });

  it('by hand: waits at the end of the turn, lap up, until a person has wetted the glass', async () => {
    const every = { count: 10, unit: 'seconds' as const };
    const { run, conductor, attendant } = await begin({ slurry: { every, pump: null } });
    await ask(run, START, 'Execute');
    await reach(run, 'Suspended');
    expect(conductor.snapshot().words).toBe('Waiting for slurry on the glass');
    expect(conductor.snapshot().lift).toBe('up');
    const { turnsWalked } = conductor.snapshot();
    expect(turnsWalked).toBeGreaterThan(1);
    expect(turnsWalked).toBeLessThan(1.1);
    expect(attendant.shown()).toEqual([{ name: 'Slurry, by hand', words: 'due' }]);
    await ask(run, { kind: 'command', command: 'unsuspend' }, 'Execute');
    await run.until(() => false, 0.3);
    expect(attendant.shown()[0]!.words).toMatch(/^due in \d/);
    expect(conductor.snapshot().state).toBe('Execute');
  });
});

describe('sensors', () => {
  const thermometer = {
    name: 'Slurry',
    rule: { measures: 'temperature' as const, channel: 0, atZero: 0, atFull: 100, least: 15, most: 60 },
  };

  it('are shown, and one that goes beyond its bounds lets the walk wait once', async () => {
    const { run, kit, conductor, attendant } = await begin({ sensors: [thermometer] });
    kit.setReading(0, 0.21);
    await ask(run, START, 'Execute');
    expect(attendant.shown()).toEqual([{ name: 'Slurry', words: '21.0 °C' }]);
    kit.setReading(0, 0.65);
    await reach(run, 'Suspended', 5);
    expect(conductor.snapshot().words).toBe('Waiting for "Slurry": it reads 65.0 °C, more than 60.0 °C');
    // A person who goes on all the same is not asked at every look.
    await ask(run, { kind: 'command', command: 'unsuspend' }, 'Execute');
    await run.until(() => false, 3);
    expect(conductor.snapshot().state).toBe('Execute');
    kit.setReading(0, 0.3);
    await run.until(() => false, 0.5);
    kit.setReading(0, 0.1);
    await reach(run, 'Suspended', 5);
    expect(conductor.snapshot().words).toContain('10.0 °C, at least 15.0 °C is wanted');
  });

  it('beyond its bounds while nothing runs stops nothing', async () => {
    const { run, kit, conductor } = await begin({ sensors: [thermometer] });
    kit.setReading(0, 0.9);
    await run.until(() => false, 1);
    await ask(run, START, 'Execute');
    expect(conductor.snapshot().state).toBe('Execute');
  });
});

describe('lamps, buzzer and foot switch', () => {
  it('green while it moves, yellow while it waits, red when it was stopped; the buzzer calls for a person', async () => {
    const { run, kit, conductor } = await begin({ tower: TOWER, buzzer: BUZZER, footSwitch: 49 });
    const lit = (): number[] => [...kit.on].filter((pin) => pin !== BUZZER);
    await ask(run, START, 'Execute');
    await run.until(() => false, 0.3);
    expect(lit()).toEqual([TOWER.green]);
    kit.press();
    await reach(run, 'Held', 10);
    await run.until(() => false, 0.3);
    expect(lit()).toEqual([TOWER.yellow]);
    // Once a second before anything moved, and before it goes on.
    expect(kit.times.get(BUZZER)).toBe(3);
    expect(kit.on.has(BUZZER)).toBe(false);
    await ask(run, { kind: 'command', command: 'unhold' }, 'Execute');
    expect(kit.times.get(BUZZER)).toBe(6);
    run.stand.force('guard', true);
    await reach(run, 'Aborted', 10);
    await run.until(() => false, 0.3);
    expect(lit()).toEqual([TOWER.red]);
    expect(kit.on.has(BUZZER)).toBe(true);
    await run.until(() => false, 4);
    expect(kit.on.has(BUZZER)).toBe(false);
    await conductor.close();
  });

  it('a foot switch never starts anything', async () => {
    const { run, kit, conductor } = await begin({ footSwitch: 49 });
    kit.press();
    await run.until(() => false, 1);
    expect(conductor.snapshot().state).toBe('Idle');
    await ask(run, START, 'Execute');
    kit.press();
    await reach(run, 'Held', 10);
    kit.press();
    await run.until(() => false, 3);
    expect(conductor.snapshot().state).toBe('Held');
  });
});
