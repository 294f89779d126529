/**
 * What ends a link in motion, at random moments and in the middle of whatever the host was saying: the byte 0xFF, or too many broken
 * frames in a second. The image eases along its path, lifts the lap at rest and keeps its drives; nothing moves until somebody has
 * opened a link, cleared the stop and asked for a pace.
 */
import { expect } from 'vitest';
import { ArmedWalk, fullRate, RAMP_MS } from './armed-walk';
import { type ChipBoard, ChipHost, LINK } from './chip-host';
import { flippedAtRandom } from './damage';
import { INPUT, TYPE } from './desk-host';
import { frame, word } from './frames';
import type { Seeded } from './seeded';

const REFUSED_STOP = 3;
const LINK_COUNTER = 3;
const LATER_TICKS = 4000;
/** Wherever a second of the chip ends among them, more than 20 fall into one. */
const BROKEN = 45;

export interface LinkEnd {
  words: string;
  stop: number;
  bytes(random: Seeded): number[];
}

export const RESET_BYTE: LinkEnd = { words: '0xFF', stop: 6, bytes: () => [0xff] };

export const BROKEN_FRAMES: LinkEnd = {
  words: `${BROKEN} damaged frames in a row`,
  stop: 8,
  bytes(random) {
    const beats = Array.from({ length: BROKEN }, (_, beat) => frame(TYPE.heartbeat, LINK, 0, word(beat)));
    return beats.flatMap((wire) => flippedAtRandom(wire, random.whole(1, 3), random));
  },
};

/** Returns a sentence of figures. */
export function endLinkInMotion(board: ChipBoard, end: LinkEnd, moments: number, seed: number): string {
  const walk = new ArmedWalk(new ChipHost(board), seed, fullRate);
  let slowest = 0;
  for (let moment = 0; moment < moments; moment++) {
    walk.toNextMoment();
    walk.aside(() => {
      slowest = Math.max(slowest, expectEases(walk, end));
      expectDeafToOldHost(walk, end.stop);
      expectThreeIntents(walk, end.stop);
    });
  }
  expect(walk.host.report()).toMatchObject({ level: 64, stop: 0, underruns: 0 });
  // The ramp, and the last edge, which rises a tick after its path tick.
  expect(slowest).toBeLessThanOrEqual(RAMP_MS * 40 + 2);
  return (
    `${board} board, ${end.words} at ${moments} moments: at rest on the path ${(slowest / 40).toFixed(1)} ms later at most, drives held; ` +
    'nothing moves before open, clear and pace'
  );
}

/** Returns ticks from the last byte's arrival to the last edge. */
function expectEases(walk: ArmedWalk, { stop, bytes }: LinkEnd): number {
  const { host } = walk;
  const { chip } = host;
  const lowered = chip.output('lower');
  const drivesOn = chip.output('enable');
  // What was on its way is lost in the middle of a byte or a frame.
  chip.cutLine();
  chip.write(bytes(walk.random));
  while (chip.unsent > 0) chip.runCycles(20);
  const heard = chip.ticks;
  let last = heard;
  for (let { edges } = walk; chip.ticks - heard < RAMP_MS * 40 + 400; edges = walk.edges) {
    expect(drivesOn()).toBe(true);
    chip.runTicks(1);
    if (walk.edges === edges) continue;
    last = chip.ticks;
    // The lap stays down as long as anything moves.
    expect(lowered()).toBe(true);
  }
  const told = walk.untilRest();
  expect({ ...told, lowered: lowered() }).toMatchObject({
    stop,
    level: 0,
    target: 0,
    drives: true,
    open: false,
    link: 0,
    underruns: 0,
    lowered: false,
  });
  walk.expectOnPath(told);
  chip.setInputs(INPUT.liftUp);
  return last - heard;
}

/** The host of before has not noticed and goes on under its link. */
function expectDeafToOldHost(walk: ArmedWalk, stop: number): void {
  const { host, edges } = walk;
  const { counters } = host.status;
  const stale = [
    frame(TYPE.drives, LINK, host.seq, [1]),
    frame(TYPE.segments, LINK, host.seq, host.fastest(40)),
    frame(TYPE.pace, LINK, host.seq, [64, 0, host.eases]),
    frame(TYPE.heartbeat, LINK, 0, [1, 2]),
    frame(TYPE.clear, LINK, host.seq, []),
  ];
  for (let i = 0; i < 5; i++) {
    host.chip.write(stale.flat());
    host.chip.runTicks(LATER_TICKS / 5);
  }
  const told = host.report();
  expect(told).toMatchObject({ level: 0, target: 0, stop, open: false });
  expect(told.counters[LINK_COUNTER]! - counters[LINK_COUNTER]!).toBe(5 * stale.length);
  expect(walk.edges).toBe(edges);
}

function expectThreeIntents(walk: ArmedWalk, stop: number): void {
  const { host, edges, next } = walk;
  const { place } = host.status;
  walk.open();
  const opened = host.reader.frames.findLast(({ type }) => type === TYPE.opened)!;
  // Which link stood before, and where.
  expect(opened.body.slice(14)).toEqual([...word(LINK), ...word(place.begun), place.left]);
  expect(host.report()).toMatchObject({ open: true, stop, level: 0 });
  host.feed(next, LATER_TICKS);
  const pace = [64, 0, 0];
  expect(walk.ask(TYPE.pace, pace)).toEqual({ reason: REFUSED_STOP });
  expect(walk.ask(TYPE.drives, [1])).toEqual({ reason: REFUSED_STOP });
  host.feed(next, LATER_TICKS);
  expect(walk.ask(TYPE.clear, [])).toBeNull();
  host.feed(next, LATER_TICKS);
  expect(host.report()).toMatchObject({ level: 0, target: 0, stop: 0, drives: true });
  expect(walk.edges).toBe(edges);
  expect(walk.ask(TYPE.pace, pace)).toBeNull();
  host.feed(next, LATER_TICKS);
  expect(walk.edges).toBeGreaterThan(edges);
  host.ease();
  walk.expectOnPath(walk.untilRest());
}
