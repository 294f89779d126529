/** Random bytes and damaged frames on the line of core and images. */
import { expect } from 'vitest';
import { AvrChip } from '../../firmware-host/virtual/chip/avr-chip';
import { type ChipBoard, ChipHost, LINK } from './chip-host';
import { burst, flipped, flippedAtRandom } from './damage';
import { DeskHost, TYPE } from './desk-host';
import { frame } from './frames';
import { Seeded } from './seeded';
import { SegmentSource } from './segments';

const PIECE = 250;
/** A frame of 19 bytes in, a status of 64 out, and some to spare. */
const ACKNOWLEDGED_TICKS = 250;

/** A person clears what was latched meanwhile; then a walk goes as ever. */
export function expectWalksAfter(host: DeskHost): void {
  expect(host.ask(TYPE.clear)).toBeNull();
  expect(host.ask(TYPE.drives, [1])).toBeNull();
  host.push(Array.from({ length: 70 }, () => [100, 0, 0, 10, 0, 0, 0, 0]));
  expect(host.pace(64)).toBeNull();
  host.ms(500);
  expect(host.board.position(0)).toBeGreaterThan(100);
}

/** Random bytes into the core, nothing armed: no motion, no output on, and it answers afterwards. */
export function noiseVirtual(bytes: number, seed: number): void {
  const random = new Seeded(seed);
  const host = new DeskHost();
  for (let sent = 0; sent < bytes; sent += PIECE) {
    host.board.write(Array.from({ length: PIECE }, () => random.whole(0, 255)));
    host.board.run(402);
    host.board.read();
    if (host.board.drivesEnabled) throw new Error(`the drives are on after ${sent} bytes`);
  }
  expect(host.positions()).toEqual([0, 0, 0, 0, 0]);
  host.ms(20);
  host.board.write([0xf7]);
  host.reader.frames.length = 0;
  host.ready();
  expectWalksAfter(host);
}

/** The same into an image, back to back at the baud rate. */
export function noiseImage(board: ChipBoard, bytes: number, seed: number): void {
  const random = new Seeded(seed);
  const chip = new AvrChip(board);
  let edges = 0;
  chip.onStep = () => edges++;
  const enable = chip.output('enable');
  const lower = chip.output('lower');
  let on = false;
  chip.onTick = () => {
    on ||= enable() || lower();
  };
  chip.runTicks(4000);
  for (let sent = 0; sent < bytes; sent += PIECE) {
    chip.write(Array.from({ length: PIECE }, () => random.whole(0, 255)));
    while (chip.unsent > 0) chip.runTicks(20);
  }
  expect({ edges, on, lost: chip.bytesLost, bitten: chip.watchdogBit }).toEqual({
    edges: 0,
    on: false,
    lost: 0,
    bitten: false,
  });
  chip.write([0xf7]);
  const host = new ChipHost(board, chip);
  host.ready(50);
  host.send(TYPE.clear, []);
  host.send(TYPE.drives, [1]);
  chip.runTicks(800);
  const source = new SegmentSource(new Seeded(5), chip.board.axes);
  host.walk(() => source.next());
  expect(host.rest().place.begun).toBeGreaterThan(10);
}

/** One segment: with header and CRC a frame of 112 bits. */
const body = [100, 0, 0, 10, 20, 30, 40, 0];

/**
 * All errors of one and two bits of a frame, sampled ones of three, and bursts of up to 16 bits in the order of the CRC (most significant
 * bit of each byte first), each on an armed board of its own. None may be taken. Returns how many there were.
 */
export function damagedFrames(
  samples: number,
  seed: number,
  taken: (wire: number[]) => boolean,
  seq: number,
  link: number,
): number {
  const random = new Seeded(seed);
  const good = frame(TYPE.segments, link, seq, body);
  const payload = (good.length - 3) * 7;
  let tried = 0;
  const refuse = (wire: number[]): void => {
    tried++;
    if (taken(wire)) throw new Error(`taken: ${wire.map((byte) => byte.toString(16)).join(' ')}`);
  };
  expect(taken(good)).toBe(true);
  for (let a = 0; a < payload; a++) {
    refuse(flipped(good, [a]));
    for (let b = 0; b < a; b++) refuse(flipped(good, [a, b]));
  }
  for (let i = 0; i < samples; i++) refuse(flippedAtRandom(good, 3, random));
  for (let i = 0; i < samples; i++) refuse(burst(good, random));
  return tried;
}

/** On the core: armed, each damaged frame on a copy of the board. */
export function damagedVirtual(samples: number, seed: number): number {
  const host = new DeskHost().ready();
  const before = host.board.snapshot();
  const { accepted } = host.status;
  const { reader } = host;
  return damagedFrames(
    samples,
    seed,
    (wire) => {
      host.board.restore(before);
      Object.assign(host, { reader: reader.copy() });
      host.board.write(wire);
      host.ticks(ACKNOWLEDGED_TICKS);
      return host.status.accepted !== accepted || host.status.seq !== host.seq;
    },
    host.seq,
    host.link,
  );
}

/** On an image: told by the chip's own report after each. */
export function damagedImage(board: ChipBoard, samples: number, seed: number): number {
  const host = new ChipHost(board);
  host.ready(50);
  const { accepted, seq } = host.report();
  const before = host.chip.snapshot();
  const { reader } = host;
  const tried = damagedFrames(
    samples,
    seed,
    (wire) => {
      host.chip.restore(before);
      host.reader = reader.copy();
      host.chip.write(wire);
      // A sequenced frame that is taken is acknowledged at once.
      host.chip.runTicks(ACKNOWLEDGED_TICKS);
      return host.status.accepted !== accepted || host.status.seq !== seq;
    },
    seq,
    LINK,
  );
  expect(host.report()).toMatchObject({ stop: 0, accepted });
  return tried;
}
