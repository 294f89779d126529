/** The assertion of the lockstep tests: a recorded life relived by the WebAssembly core is the same life. */
import { expect } from 'vitest';
import { LIFE_KINDS, Life } from './life';
import { comparable, RecordedChip, relive } from './lockstep';
import { Seeded } from './seeded';

export interface LifeFigures {
  steps: number;
  /** Cycles, interrupt and RETI included, as avr8js counts them. */
  worstTick: number;
  meanTick: number;
  stackBytes: number | null;
}

/** Lives life number `seed` of a board for so many ticks and holds the core against it. */
export function expectAlike(board: 'reference' | 'small', seed: number, ticks: number, ramBytes: number): LifeFigures {
  const kind = LIFE_KINDS[seed % LIFE_KINDS.length]!;
  const recorded = new RecordedChip(board);
  new Life(recorded, new Seeded(seed), kind).run(ticks);
  const relived = relive(recorded);
  const name = `${board}, ${kind}, life ${seed}`;

  // The recording ends inside a pass of the main loop; what came after the last whole one is not relived.
  const mine = recorded.steps.filter(({ tick }) => tick < relived.ticks);
  expect(recorded.chip.ticks - relived.ticks, name).toBeLessThan(400);
  expect(relived.strayed, name).toBe(false);
  expect(relived.steps, name).toEqual(mine);
  const frames = comparable(relived.frames);
  expect(frames, name).toEqual(comparable(recorded.reader.frames).slice(0, frames.length));
  expect(frames.length, name).toBeGreaterThanOrEqual(comparable(recorded.reader.frames).length - 1);

  expect(recorded.chip.bytesLost, name).toBe(0);
  expect(recorded.chip.watchdogBit, name).toBe(false);
  return {
    steps: mine.length,
    worstTick: recorded.worstTick,
    meanTick: recorded.totalCycles / recorded.chip.ticks,
    stackBytes: recorded.chip.stackBytes(ramBytes),
  };
}

/** Lives `from`..`to`; a line of figures for people. */
export function expectAllAlike(
  board: 'reference' | 'small',
  from: number,
  to: number,
  ticks: number,
  ramBytes: number,
): LifeFigures {
  const all = { steps: 0, worstTick: 0, meanTick: 0, stackBytes: 0 };
  for (let seed = from; seed <= to; seed++) {
    const one = expectAlike(board, seed, ticks, ramBytes);
    all.steps += one.steps;
    all.worstTick = Math.max(all.worstTick, one.worstTick);
    all.meanTick += one.meanTick / (to - from + 1);
    expect(one.stackBytes, 'the stack has grown into the variables').not.toBeNull();
    all.stackBytes = Math.max(all.stackBytes, one.stackBytes!);
  }
  console.log(
    `${board} board, lives ${from} to ${to} of ${ticks} ticks: ${all.steps} step edges alike; a tick takes ` +
      `${all.meanTick.toFixed(0)} cycles in the mean, ${all.worstTick} at worst (avr8js; 2 to 3 more on silicon), ` +
      `stack ${all.stackBytes} bytes`,
  );
  return all;
}
