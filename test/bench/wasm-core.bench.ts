import { VirtualBoard } from '../../firmware-host/controller/wasm/load';
import { frame, word } from '../chip/frames';
import type { Bench } from './harness';

const LINK = 5;
const RUN_TICKS = 8_000_000; // 200 s of the stand
const TICK_HZ = 40_000;

/** A board that walks segments of 200 ticks for ever, and a way to go on: frames are made beforehand, so that only the board is timed. */
function walkingBoard(steps: readonly number[]): () => number {
  const board = new VirtualBoard();
  board.boot(1);
  board.fitMark(0, { turn: 289_281n, partsPerStep: 2, width: 1600n, at: 0n });
  board.fitMark(3, { turn: 9600n, partsPerStep: 1, width: 50n, at: 0n });
  board.fitLimits(1, -(2 ** 30), 2 ** 30);
  board.fitLimits(2, -(2 ** 30), 2 ** 30);
  board.write(frame(0x01, 0, 0, [LINK, 500, 60_000, 3000, 0].flatMap(word)));
  const seven = Array.from({ length: 7 }, () => [200, 0, 0, ...steps]).flat();
  const feed = Array.from({ length: 256 }, (_, seq) => [
    ...frame(0x10, LINK, seq, seven),
    ...frame(0x02, LINK, 0, word(1000 + seq)),
  ]);
  let seq = 0;
  board.run(400);
  board.write(frame(0x12, LINK, seq++, [1]));
  for (let i = 0; i < 17; i++) board.write(feed[seq++]!);
  board.run(8000);
  board.write(frame(0x11, LINK, seq++, [64, 0, 0]));
  board.run(20_000);
  return () => {
    const start = performance.now();
    for (let ran = 0; ran < RUN_TICKS; ) {
      board.write(feed[seq++ & 0xff]!);
      ran += board.run(1400);
      board.read();
    }
    const seconds = (performance.now() - start) / 1000;
    if (board.raw.core_level() !== 64) throw new Error('the board does not walk at full pace');
    return RUN_TICKS / TICK_HZ / seconds;
  };
}

export function benches(): Bench[] {
  const usual = walkingBoard([60, 80, 10, 8, 0]);
  const fastest = walkingBoard([100, 100, 100, 100, 100]);
  return [
    {
      name: 'virtual board, a usual walk (12 kHz turntable, 16 kHz stroke)',
      unit: 'x real time',
      goal: 1000,
      better: 'larger',
      repeats: 5,
      measure: usual,
      note: 'core and mechanism in one thread',
    },
    {
      name: 'virtual board, five axes at 20,000 steps/s',
      unit: 'x real time',
      goal: 1000,
      better: 'larger',
      repeats: 5,
      measure: fastest,
    },
  ];
}
