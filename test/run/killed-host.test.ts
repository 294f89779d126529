/**
 * A host that is killed while the stand keeps its power: the controller eases by itself and goes on counting, and the host that comes
 * after it goes on at the very step, without walking anything twice.
 */
import { describe, expect, test } from 'vitest';
import { Conductor } from '../../firmware-host/run/conductor';
import type { CutShort } from '../../firmware-host/run/going-on';
import type { RunState } from '../../firmware-host/run/types';
import { leftStanding } from '../../firmware-host/run/virtual-run';
import type { HostClock } from '../../firmware-host/stand/clock';
import { SegmentLink } from '../../firmware-host/stand/segment-link';
import { Simulation } from '../../firmware-host/virtual/simulation';
import { VirtualStand } from '../../firmware-host/virtual/virtual-stand';
import { stepsAtTurns } from '../../planner/steps/rounding';
import { compileProgram } from '../../planner/steps/summary';
import { program } from '../support/programs';
import { GO_ON, planOf, quickStand, Remembered, START } from './support';

const walked = program([{ turns: 3, nudge: { everyStrokes: 3, byMm: 6 } }], { turntableRpm: 5 });
const plan = planOf(walked, quickStand);
const { summary } = compileProgram(walked, quickStand);

/** The stand of a bench, and one host after another on it. */
class Bench {
  readonly simulation = new Simulation();
  readonly stand = new VirtualStand({ stand: quickStand, start: leftStanding(quickStand), bootId: 9 });
  recorder = new Remembered();
  private alive = { now: true };
  conductor!: Conductor;
  private links = 100;

  constructor() {
    this.simulation.add(this.stand);
  }

  /** With a walk under way that is past so many turns. */
  static async walkedTo(turns: number): Promise<Bench> {
    const bench = new Bench();
    await bench.host();
    await bench.ready();
    await bench.ask(START, 'Execute');
    await bench.until(() => bench.conductor.snapshot().turnsWalked > turns, 60);
    return bench;
  }

  async host(cutShort: CutShort | null = null): Promise<void> {
    const alive = { now: true };
    this.alive = alive;
    const { clock } = this.simulation;
    const mortal: HostClock = {
      now: () => clock.now(),
      after: (seconds, act) => clock.after(seconds, () => alive.now && act()),
    };
    const { words, virtual, pipe } = this.stand;
    this.links += 7;
    const link = new SegmentLink({ clock: mortal, linkId: this.links, words, virtual });
    link.attach({
      write: (bytes) => {
        if (alive.now) pipe.write(bytes);
      },
      onBytes: (listener) => pipe.onBytes((bytes) => alive.now && listener(bytes)),
      onClose: (listener) => pipe.onClose(listener),
      close: () => Promise.resolve(),
    });
    this.recorder = new Remembered();
    const options = { link, clock: mortal, plan, recorder: this.recorder, newRunId: () => 'run-1' };
    let found: Conductor | null = null;
    void Conductor.connect({ ...options, interrupted: cutShort }).then((conductor) => {
      found = conductor;
    });
    expect(await this.until(() => found !== null, 6)).toBe(true);
    this.conductor = found!;
  }

  /** As kill -9: nothing it had set up happens any more. What it had kept is what the next one is told. */
  kill(): CutShort {
    this.leave();
    const { turnsWalked, lift, mark, doubtTurns } = this.recorder.checkpoints.at(-1)!;
    return { runId: 'run-1', turnsWalked, lift, mark, doubtTurns };
  }

  leave(): void {
    this.alive.now = false;
  }

  async until(done: () => boolean, limitSeconds: number): Promise<boolean> {
    const end = this.simulation.clock.now() + limitSeconds;
    while (!done()) {
      if (this.simulation.clock.now() > end) return false;
      this.simulation.advance(0.005);
      await Promise.resolve();
    }
    return true;
  }

  async ask(order: Parameters<Conductor['order']>[0], state: RunState): Promise<void> {
    expect(this.conductor.order(order)).toEqual({ ok: true });
    const there = await this.until(() => this.conductor.snapshot().state === state, 300);
    expect(there, `${state}: ${JSON.stringify(this.conductor.snapshot())}`).toBe(true);
  }

  async ready(): Promise<void> {
    if (this.conductor.snapshot().state === 'Aborted') await this.ask({ kind: 'command', command: 'clear' }, 'Stopped');
    await this.ask({ kind: 'command', command: 'reset' }, 'Idle');
  }
}

describe.each([0.31, 1.5, 2.13])('killed at turn %d', (turns) => {
  test('it goes on at the step where the stand came to rest', async () => {
    const bench = new Bench();
    await bench.host();
    await bench.ready();
    const standing = bench.stand.truth().steps;
    await bench.ask(START, 'Execute');
    const parked = bench.stand.truth().steps;
    expect(parked).not.toEqual(standing);
    await bench.until(() => bench.conductor.snapshot().turnsWalked > turns, 60);
    const kept = bench.kill();
    await bench.until(() => false, 4);
    const rested = bench.stand.truth();
    expect(rested.liftHeight).toBe(1);
    const made = rested.steps.map((steps, axis) => steps - parked[axis]!);

    await bench.host(kept);
    const { turnsWalked, cutShort } = bench.conductor.snapshot();
    expect(turnsWalked).toBeGreaterThan(kept.turnsWalked);
    expect(cutShort).toMatch(
      /stopped at turn \d\.\d\d of 3, lap up \(it was down when last seen\)\. .*known to the step/,
    );
    // Every motor stands within the bound of the path at the place that is told.
    const begin = stepsAtTurns(plan.path, quickStand, 0);
    const there = stepsAtTurns(plan.path, quickStand, turnsWalked);
    for (let axis = 0; axis < 4; axis++)
      expect(Math.abs(made[axis]! - (there[axis]! - begin[axis]!))).toBeLessThanOrEqual(2);

    // Nothing goes on by itself.
    await bench.until(() => false, 5);
    expect(bench.stand.truth().steps).toEqual(rested.steps);
    await bench.ready();
    await bench.ask(GO_ON, 'Execute');
    const words = bench.recorder.events.map((event) => event.words).join('\n');
    expect(words).toContain(`Goes on from turn ${turnsWalked.toFixed(4)}.`);
    expect(words).not.toMatch(/walked twice;|may be walked twice/);
    await bench.until(() => bench.conductor.snapshot().state === 'Complete', 120);
    expect(bench.conductor.result()).toMatchObject({ turnsWalked: 3, endSteps: summary!.endSteps });
  });
});

test('rows that a full disc refused: a stand whose numbers have begun anew is not taken for one that never walked', async () => {
  const bench = await Bench.walkedTo(0.1);
  // The last row that got to the disc: before the first step, with the stream that was about to be walked.
  const { turnsWalked, lift, mark, doubtTurns } = bench.recorder.checkpoints.find((row) => row.mark !== null)!;
  expect({ turnsWalked, doubtTurns }).toEqual({ turnsWalked: 0, doubtTurns: null });
  const queued = { ...mark!, place: { segment: -1, ticksLeft: 0 } };
  await bench.until(() => bench.conductor.snapshot().turnsWalked > 0.3, 60);
  await bench.ask({ kind: 'command', command: 'stop' }, 'Stopped');
  bench.leave();
  await bench.until(() => false, 4);
  await bench.host({ runId: 'run-1', turnsWalked, lift, mark: queued, doubtTurns });
  expect(bench.conductor.snapshot().cutShort).toMatch(
    /stopped at turn 0\.00 of 3, .* was last seen there: up to \d+\.\d degrees may be walked twice/,
  );
});

test('a stop at the end of the turn that was under way is known as well', async () => {
  const bench = await Bench.walkedTo(1.7);
  bench.conductor.order({ kind: 'command', command: 'stopAtTurnEnd' });
  await bench.until(() => bench.conductor.snapshot().turnsWalked > 1.99, 60);
  // A place that was kept since.
  const kept = { ...bench.kill(), mark: bench.recorder.checkpoints.at(-1)!.mark };
  await bench.until(() => false, 4);
  await bench.host(kept);
  const { turnsWalked } = bench.conductor.snapshot();
  expect(turnsWalked).toBeGreaterThan(1.99);
  expect(turnsWalked).toBeLessThanOrEqual(2);
});

test('a controller that lost its power meanwhile knows nothing: what may be walked twice is written down, in degrees and in nm', async () => {
  const bench = await Bench.walkedTo(1.5);
  const kept = bench.kill();
  bench.stand.reboot('power');
  await bench.until(() => false, 1);
  await bench.host(kept);
  expect(bench.conductor.snapshot().turnsWalked).toBe(kept.turnsWalked);
  await bench.ready();
  await bench.ask(GO_ON, 'Execute');
  const words = bench.recorder.events.map((event) => event.words).join('\n');
  const told = /up to ([\d.]+) degrees may be walked twice, ([\d.]+) nm at the deepest place/.exec(words);
  // 6.3 s at 5 turns a minute are 189 degrees; a turn of this program takes off about a nanometre.
  expect(Number(told?.[1])).toBeCloseTo(189, 0);
  expect(Number(told?.[2])).toBeGreaterThan(0.05);
  expect(Number(told?.[2])).toBeLessThan(5);
});

test.each(['stop', 'hold'] as const)(
  'where it rested after "%s" its place is certain, also when stand and computer were both switched off since',
  async (command) => {
    const bench = await Bench.walkedTo(1.5);
    await bench.ask({ kind: 'command', command }, command === 'stop' ? 'Stopped' : 'Held');
    const { turnsWalked } = bench.conductor.snapshot();
    const kept = bench.kill();
    bench.stand.reboot('power');
    await bench.host(kept);
    expect(bench.conductor.snapshot().cutShort).toMatch(
      /lap up\. It had come to rest there: nothing is walked twice\.$/,
    );
    await bench.ready();
    await bench.ask(GO_ON, 'Execute');
    const words = bench.recorder.events.map((event) => event.words).join('\n');
    expect(words).toContain(`Goes on from turn ${turnsWalked.toFixed(4)}.`);
    await bench.until(() => bench.conductor.snapshot().state === 'Complete', 120);
    expect(bench.conductor.result()).toMatchObject({ turnsWalked: 3, endSteps: summary!.endSteps });
  },
);

test('a place that was asked to move since is not certain, though no report has seen it move', async () => {
  const bench = await Bench.walkedTo(1.5);
  await bench.ask({ kind: 'command', command: 'hold' }, 'Held');
  expect(bench.recorder.checkpoints.at(-1)).toMatchObject({ state: 'Held', doubtTurns: 0 });
  await bench.ask({ kind: 'command', command: 'unhold' }, 'Execute');
  expect(bench.recorder.checkpoints.at(-1)).toMatchObject({ state: 'Execute', doubtTurns: null });
});

test('a host that looked and was left again hands the exact place on', async () => {
  const bench = await Bench.walkedTo(0.5);
  const kept = bench.kill();
  await bench.until(() => false, 4);
  await bench.host(kept);
  const { turnsWalked } = bench.conductor.snapshot();
  const handedOn = bench.kill();
  await bench.until(() => false, 2);
  await bench.host(handedOn);
  expect(bench.conductor.snapshot()).toMatchObject({ turnsWalked });
  expect(bench.conductor.snapshot().cutShort).toMatch(/It had come to rest there: nothing is walked twice/);
});

test('another host in between, or numbers of another stream, are not taken for the walk', async () => {
  const bench = await Bench.walkedTo(0.5);
  const kept = bench.kill();
  await bench.until(() => false, 4);
  await bench.host();
  bench.leave();
  await bench.until(() => false, 2);
  await bench.host(kept);
  expect(bench.conductor.snapshot()).toMatchObject({ turnsWalked: kept.turnsWalked });
  expect(bench.conductor.snapshot().cutShort).toMatch(/may be walked twice/);
});
