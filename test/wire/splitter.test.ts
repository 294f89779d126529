import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { encodeToHost } from '../../firmware-host/wire/frame';
import { StreamSplitter } from '../../firmware-host/wire/splitter';

function split(...chunks: ArrayLike<number>[]) {
  const frames: number[][] = [];
  const firmata: number[][] = [];
  const splitter = new StreamSplitter({
    frame: (packed, length) => frames.push([...packed.subarray(0, length)]),
    firmata: (message) => firmata.push([...message]),
  });
  for (const chunk of chunks) splitter.feed(Uint8Array.from(chunk));
  return { frames, firmata, counters: splitter.counters };
}

const VERSION = [0xf9, 2, 8];
const REPORT = [0xf0, 0x79, 1, 0, 0x57, 0, 0xf7];
const FRAME = [...encodeToHost({ name: 'flushed', segmentsBegun: 3, ticksLeft: 9 }, 5, 0)];
const PACKED = FRAME.slice(2, -1);

describe('the splitter', () => {
  it('hands frames of ours one way and standard messages the other, whole', () => {
    const { frames, firmata, counters } = split([...VERSION, ...REPORT, ...FRAME, 0xe0, 1, 2, 0x91, 3, 4, ...FRAME]);
    expect(frames).toEqual([PACKED, PACKED]);
    expect(firmata).toEqual([VERSION, REPORT, [0xe0, 1, 2], [0x91, 3, 4]]);
    expect(counters).toEqual({ aborted: 0, oversize: 0, stray: 0 });
  });

  it('does not care where the stream is cut', () => {
    const stream = [...VERSION, ...FRAME, ...REPORT, 0xe0, 1, 2, ...FRAME];
    const whole = split(stream);
    for (let cut = 0; cut <= stream.length; cut++) {
      expect(split(stream.slice(0, cut), stream.slice(cut))).toEqual(whole);
    }
    expect(split(...stream.map((byte) => [byte]))).toEqual(whole);
  });

  it('loses one message, not two, when a byte is lost', () => {
    const shortened = split([0xe0, 1, ...FRAME, ...VERSION]);
    expect(shortened.frames).toEqual([PACKED]);
    expect(shortened.firmata).toEqual([VERSION]);
    expect(shortened.counters).toEqual({ aborted: 1, oversize: 0, stray: 0 });
    const unended = split([...FRAME.slice(0, -1), ...FRAME]);
    expect(unended.frames).toEqual([PACKED]);
    expect(unended.counters.aborted).toBe(1);
  });

  it('drops an oversize frame or report whole and goes on with the next', () => {
    const long = new Array<number>(200).fill(1);
    const endless = new Array<number>(10_000).fill(1);
    const { frames, firmata, counters } = split(
      [0xf0, 0x0c, ...long, 0xf7, ...FRAME],
      [0xf0, 0x6c, ...endless, 0xf7],
      VERSION,
    );
    expect(frames).toEqual([PACKED]);
    expect(firmata).toEqual([VERSION]);
    expect(counters).toEqual({ aborted: 0, oversize: 2, stray: 0 });
  });

  it('counts bytes outside any message', () => {
    expect(split([1, 2, 0xf7, 0xc0, 0xff, ...VERSION]).counters).toEqual({ aborted: 0, oversize: 0, stray: 5 });
  });

  it('survives any bytes and still reads what comes after an end of sysex', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 300 }), (noise) => {
        const { frames, firmata } = split(noise, FRAME, VERSION);
        expect(frames.at(-1)).toEqual(PACKED);
        expect(firmata.at(-1)).toEqual(VERSION);
      }),
      { seed: 7, numRuns: 2000 },
    );
  });
});
