/** A noisy line in motion, of the core and of both images: damaged frames between good ones, and random bytes between and inside them. */
import { expect } from 'vitest';
import { CYCLES_PER_TICK } from '../../firmware-host/virtual/chip/avr-chip';
import { ArmedWalk, anySegments, fullRate } from './armed-walk';
import { type ChipBoard, ChipHost, LINK } from './chip-host';
import { coreHost } from './core-chip';
import { damaged } from './damage';
import { INPUT, TYPE } from './desk-host';
import { EdgeWatch } from './edge-watch';
import { frame, word } from './frames';

/** Fewer than 20 fall into any second: more would end the link. */
const DAMAGE_EVERY: readonly [number, number] = [2100, 2600];
/** A flip may count twice: a frame aborted, and what is left of it. */
const WIRE_BIT_EVERY = 4400;
/** Counters of the chip saturate at 255; one walk takes no more damaged frames than they can count. */
const DAMAGED_A_WALK = 200;
const JITTER_MOST = 96;
const CRC_COUNTER = 0;
/** Stops that a noisy line may latch: 0xFF, too many broken frames. */
const STOPS = [0, 6, 8];

export type Walker = ChipBoard | 'core';

const hostOf = (walker: Walker): ChipHost => (walker === 'core' ? coreHost() : new ChipHost(walker));

/** So many damaged frames come in between the good ones of walks. None is taken, and the walks stay exact. Returns a sentence of figures. */
export function damagedInMotion(walker: Walker, frames: number, seed: number): string {
  let left = frames;
  for (let batch = 0; left > 0; batch++) {
    const some = Math.min(left, DAMAGED_A_WALK);
    damagedWalk(walker, some, seed + batch, batch % 2 === 0);
    left -= some;
  }
  return `${walker}: ${frames} damaged frames in motion, none taken, every walk exact`;
}

function damagedWalk(walker: Walker, frames: number, seed: number, full: boolean): void {
  const walk = new ArmedWalk(hostOf(walker), seed, full ? fullRate : anySegments);
  const { host, random } = walk;
  const { droopTicks } = host.status;
  const watch = full && walker !== 'core' ? new EdgeWatch(host.chip) : null;
  for (let sent = 0; sent < frames; sent++) {
    walk.feed(random.whole(...DAMAGE_EVERY));
    host.chip.write(damaged(random.pick(goodFrames(walk)), random));
  }
  walk.feed(2000);
  // Each was heard and refused: none was taken, not even where nobody would have seen it, as of a heartbeat.
  const counters = Array.from({ length: 8 }, (_, counter) => (counter === CRC_COUNTER ? frames : 0));
  expect(host.status).toMatchObject({ level: 64, target: 64, stop: 0, underruns: 0, droopTicks, counters });
  if (watch) {
    // No gap: every step of every axis comes two ticks after the one before.
    expect(Math.max(...watch.mostGap)).toBeLessThanOrEqual(2 * CYCLES_PER_TICK + JITTER_MOST);
    expect(Math.min(...watch.leastGap)).toBeGreaterThanOrEqual(2 * CYCLES_PER_TICK - JITTER_MOST);
  }
  host.ease();
  walk.expectOnPath(walk.untilRest());
}

/**
 * Every single bit of a segments frame on the wire flipped, framing and highest bits included (those are not the CRC's to find), one
 * after another while it walks; left out are flips that make 0xFF, which ends the link. Returns how many there were.
 */
export function wireBitsInMotion(walker: Walker, seed: number): number {
  const walk = new ArmedWalk(hostOf(walker), seed, fullRate);
  const { host } = walk;
  const { length } = segmentsFrame(walk);
  let flips = 0;
  for (let bit = 0; bit < 8 * length; bit++) {
    walk.feed(WIRE_BIT_EVERY);
    const wire = segmentsFrame(walk);
    wire[bit >> 3]! ^= 1 << (bit & 7);
    if (wire.includes(0xff)) continue;
    host.chip.write(wire);
    flips++;
  }
  walk.feed(2000);
  const { counters, ...told } = host.status;
  expect(told).toMatchObject({ level: 64, target: 64, stop: 0, underruns: 0, droopTicks: 0 });
  const [crc, wrongLength, , , , aborted] = counters as [number, number, number, number, number, number];
  expect(counters).toEqual([crc, wrongLength, 0, 0, 0, aborted, 0, 0]);
  host.ease();
  walk.expectOnPath(walk.untilRest());
  return flips;
}

const segmentsFrame = ({ host }: ArmedWalk): number[] => frame(TYPE.segments, LINK, host.seq, host.fastest(40));

/** What the chip would take next, of every type. */
function goodFrames(walk: ArmedWalk): number[][] {
  const { host, random } = walk;
  const { seq } = host;
  const segments = Array.from({ length: random.whole(1, 7) }, () => host.fastest(40)).flat();
  const sequenced: [number, number[]][] = [
    [TYPE.segments, segments],
    [TYPE.segments, segments],
    [TYPE.pace, [random.whole(0, 63), host.status.rests, host.eases]],
    [TYPE.drives, [0]],
    [TYPE.lift, [1]],
    [TYPE.seek, [...word(0xffff), ...word(0), 1]],
    [TYPE.flush, []],
    [TYPE.clear, []],
  ];
  return [
    ...sequenced.map(([type, body]) => frame(type, LINK, seq, body)),
    frame(TYPE.open, 0, 0, [LINK + 1, 50, 500, 3000, 1].flatMap(word)),
    frame(TYPE.heartbeat, LINK, 0, word(random.whole(0, 0xffff))),
    frame(TYPE.ease, LINK, 0, [(host.eases + 1) & 0xff]),
  ];
}

/**
 * Bursts of random bytes into walks, so many times: every step stays on the path, whatever they make of the link, and the chip hears an
 * `ease` after them; then it opens, clears and walks as ever. Returns a sentence of figures.
 */
export function noiseInMotion(walker: Walker, rounds: number, seed: number): string {
  const walk = new ArmedWalk(hostOf(walker), seed, anySegments);
  const { host, random } = walk;
  let bytes = 0;
  const stops = new Map<number, number>();
  for (let round = 0; round < rounds; round++) {
    walk.feed(random.whole(1, 400));
    const uniform = random.chance(0.3);
    for (let bursts = random.whole(1, 8); bursts > 0; bursts--) {
      const burst = Array.from({ length: random.whole(1, random.chance(0.1) ? 400 : 60) }, () =>
        noiseByte(walk, uniform),
      );
      // In the middle of a good frame, which is heard no further.
      if (random.chance(0.3)) burst.unshift(...random.pick(goodFrames(walk)).slice(0, random.whole(1, 8)));
      bytes += burst.length;
      host.chip.write(burst);
      walk.feed(random.whole(10, 200));
    }
    host.ease();
    const told = walk.untilRest(10_000);
    expect(STOPS).toContain(told.stop);
    expect(told).toMatchObject({ drives: true, level: 0, target: 0 });
    walk.expectOnPath(told);
    stops.set(told.stop, (stops.get(told.stop) ?? 0) + 1);

    const { edges } = walk;
    host.chip.setInputs(INPUT.liftUp);
    walk.open();
    expect(walk.ask(TYPE.clear, [])).toBeNull();
    expect(walk.edges).toBe(edges);
    expect(walk.ask(TYPE.drives, [1])).toBeNull();
    walk.lowerAndWalk();
  }
  host.ease();
  walk.expectOnPath(walk.untilRest());
  const found = STOPS.map((stop) => `${stops.get(stop) ?? 0} with stop ${stop}`).join(', ');
  return `${walker}: ${bytes} random bytes in motion in ${rounds} walks, every step on the path; they ended ${found}`;
}

/** Any byte; or, to get deeper into the parser and to walk on for longer, one of those it knows, and no 0xFF. */
function noiseByte({ random }: ArmedWalk, uniform: boolean): number {
  if (uniform) return random.whole(0, 255);
  return random.chance(0.7)
    ? random.whole(0, 0x7f)
    : random.pick([0xf0, 0x0c, 0xf7, 0xf9, 0xf4, 0xf5, 0x90, 0xc0, 0xd0]);
}
