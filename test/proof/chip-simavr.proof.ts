/**
 * Both images in a second emulator, simavr (Debian: `apt-get install gcc libsimavr-dev libelf-dev`; without it this proof fails):
 * they boot, answer and walk there as in avr8js, step for step.
 */
import { beforeAll, describe, expect, it } from 'vitest';
import { CHIP_BOARDS, type ChipBoard, LINK } from '../chip/chip-host';
import { INPUT, TYPE } from '../chip/desk-host';
import { frame, Reader, type Status, status, word } from '../chip/frames';
import { type Act, buildSimavrBoard, type Played, playInAvr8js, playInSimavr } from '../chip/second-emulator';
import { randomWalk, stepsOf } from '../support/segments';

const TICKS_PER_MS = 40;
const SEGMENTS = 420;
const FIRST = 119;
const AXES = { reference: 5, small: 4 };

let program: string;
beforeAll(() => {
  program = buildSimavrBoard();
});

/** Bytes of a whole walk: opened, ring filled, pace asked, then seven segments each time seven are over. */
class Play {
  readonly acts: Act[] = [{ inputs: INPUT.liftUp }, { run: 200 * TICKS_PER_MS }];
  private seq = 0;
  private beat = 1;

  constructor(private readonly segments: Uint8Array) {
    const open = frame(TYPE.open, 0, 0, [LINK, 100, 5000, 3000, 1].flatMap(word));
    this.acts.push({ write: [0xf9, 0xf0, 0x79, 0xf7, ...open] }, { run: 40 * TICKS_PER_MS });
    this.send(TYPE.drives, [1]);
    this.run(20);
  }

  send(type: number, body: readonly number[]): void {
    this.acts.push({ write: frame(type, LINK, this.seq++ & 0xff, body) });
  }

  run(milliseconds: number): void {
    this.acts.push({ write: frame(TYPE.heartbeat, LINK, 0, word(this.beat++)) }, { run: milliseconds * TICKS_PER_MS });
  }

  push(from: number, count: number): void {
    for (let at = from; at < from + count; at += 7) {
      this.send(TYPE.segments, [...this.segments.subarray(8 * at, 8 * Math.min(at + 7, from + count))]);
    }
  }

  /** Stops short of the end by `leave` segments of what is sent meanwhile. */
  walk(upTo: number): void {
    this.push(0, FIRST);
    this.run(200);
    this.send(TYPE.pace, [64, 0, 0]);
    this.run(100);
    for (let at = FIRST; at < upTo; at += 7) {
      const count = Math.min(7, upTo - at);
      this.push(at, count);
      const over = Array.from({ length: 7 }, (_, i) => this.segments[8 * (at - FIRST + i)]!);
      this.run(Math.ceil(over.reduce((sum, ticks) => sum + ticks, 0) / TICKS_PER_MS));
    }
  }
}

const readerOf = ({ bytes }: Played): Reader => {
  const reader = new Reader();
  reader.take(bytes);
  return reader;
};
const lastStatus = (played: Played): Status =>
  status(readerOf(played).frames.findLast(({ type }) => type === TYPE.status)!);
const boards = (board: ChipBoard, acts: readonly Act[]) => ({
  simavr: playInSimavr(program, board, acts),
  avr8js: playInAvr8js(board, acts),
});

describe.each(CHIP_BOARDS)('the image of the %s board in simavr', (board) => {
  const segments = randomWalk(601, SEGMENTS, AXES[board]);

  it('boots, volunteers what it is, answers queries and `open`, and walks to the exact end, as in avr8js', () => {
    const play = new Play(segments);
    play.walk(segments.length / 8);
    play.run(800);
    const { simavr, avr8js } = boards(board, play.acts);
    const report = [
      0xf9,
      2,
      8,
      0xf0,
      0x79,
      1,
      0,
      ...[...'Wholeturn'].flatMap((letter) => [letter.charCodeAt(0), 0]),
      0xf7,
    ];
    expect(simavr.failed).toBe(false);
    expect(simavr.bytes.slice(0, report.length)).toEqual(report);

    const reader = readerOf(simavr);
    const other = readerOf(avr8js);
    expect(reader.others).toEqual(other.others);
    const opened = reader.frames.filter(({ type }) => type === TYPE.opened);
    expect(opened).toHaveLength(1);
    expect(opened).toEqual(other.frames.filter(({ type }) => type === TYPE.opened));

    // The end place, told by the chip, and made by its pins.
    const told = lastStatus(simavr);
    expect(told).toMatchObject({ level: 0, rests: 1, stop: 0, underruns: 0, counters: Array(8).fill(0), drives: true });
    expect(told.place).toEqual({ begun: segments.length / 8, left: 0 });
    expect(told.place).toEqual(lastStatus(avr8js).place);
    const made = [0, 0, 0, 0, 0];
    for (const { axis, way } of simavr.edges) made[axis]! += way;
    expect(made).toEqual(stepsOf(segments).steps);

    // Every step of every axis, in the same order and sense.
    const steps = ({ edges }: Played) => edges.map(({ axis, way }) => (axis + 1) * way);
    expect(steps(simavr)).toEqual(steps(avr8js));
    console.log(`${board} board: ${simavr.edges.length} step edges alike in simavr and avr8js, the end place too`);
  });

  it('halts: no edge later than a tick, drives off', () => {
    const play = new Play(segments);
    play.walk(2 * FIRST);
    const walked = playInSimavr(program, board, play.acts);
    play.acts.push({ lookAtDrives: true }, { inputs: INPUT.liftUp | INPUT.halt }, { run: 2 }, { lookAtDrives: true });
    play.run(100);
    const halted = playInSimavr(program, board, play.acts);
    expect(halted.drivesOn).toEqual([true, false]);
    expect(walked.edges.length).toBeGreaterThan(5000);
    // Of the tick that was due when the contact opened, at most.
    expect(halted.edges.length - walked.edges.length).toBeLessThanOrEqual(AXES[board]);
    expect(lastStatus(halted)).toMatchObject({ stop: 1, level: 0, drives: false, lost: true });
  });
});
