import { describe, expect, it } from 'vitest';
import { decodeToStand } from '../../firmware-host/wire/frame';
import type { ToStand } from '../../firmware-host/wire/frame-table';
import { Outbox } from '../../firmware-host/wire/outbox';

function sentBy(outbox: Outbox): ToStand[] {
  const frames: ToStand[] = [];
  for (let wire = outbox.take(); wire !== undefined; wire = outbox.take()) {
    const frame = decodeToStand(wire.subarray(2, -1));
    if (typeof frame === 'string') throw new Error(`sent a frame that fails with ${frame}`);
    frames.push(frame);
  }
  return frames;
}

const seqs = (frames: ToStand[]): number[] => frames.map((frame) => frame.seq);
const segments = (count: number, mark: number): Uint8Array => new Uint8Array(8 * count).fill(mark);

describe('the outbox', () => {
  it('numbers frames in order and sends each once', () => {
    const outbox = new Outbox(9);
    outbox.add({ name: 'clear' });
    outbox.add({ name: 'drives', on: 1 });
    expect(sentBy(outbox)).toEqual([
      { name: 'clear', link: 9, seq: 0 },
      { name: 'drives', link: 9, seq: 1, on: 1 },
    ]);
    expect(sentBy(outbox)).toEqual([]);
  });

  it('fills a frame of segments that has not left, never one that has', () => {
    const outbox = new Outbox(1);
    outbox.addSegments(segments(3, 1));
    outbox.addSegments(segments(6, 2));
    const first = sentBy(outbox);
    expect(first.map((frame) => frame.name === 'segments' && frame.segments.length / 8)).toEqual([7, 2]);
    outbox.addSegments(segments(1, 3));
    expect(seqs(sentBy(outbox))).toEqual([2]);
    expect(outbox.segmentsHeld).toBe(10);
  });

  it('never puts segments before a command that was asked for first', () => {
    const outbox = new Outbox(1);
    outbox.addSegments(segments(1, 1));
    outbox.add({ name: 'pace', target: 64, rests: 0, eases: 0 });
    outbox.addSegments(segments(1, 2));
    expect(sentBy(outbox).map((frame) => frame.name)).toEqual(['segments', 'pace', 'segments']);
  });

  it('sends everything unacknowledged again, with the same numbers and bytes', () => {
    const outbox = new Outbox(1);
    outbox.addSegments(segments(20, 5));
    const before = sentBy(outbox);
    expect(outbox.acknowledge(1)?.length).toBe(1);
    outbox.rewind();
    expect(sentBy(outbox)).toEqual(before.slice(1));
    expect(outbox.segmentsHeld).toBe(13);
  });

  it('takes an acknowledgement that overtakes the repeat', () => {
    const outbox = new Outbox(1);
    for (let i = 0; i < 4; i++) outbox.add({ name: 'clear' });
    sentBy(outbox);
    outbox.rewind();
    expect(outbox.take()).toBeDefined();
    expect(outbox.acknowledge(3)?.length).toBe(3);
    expect(seqs(sentBy(outbox))).toEqual([3]);
  });

  it('has at most 32 unacknowledged', () => {
    const outbox = new Outbox(1);
    for (let i = 0; i < 40; i++) outbox.add({ name: 'clear' });
    expect(sentBy(outbox).length).toBe(32);
    outbox.acknowledge(5);
    expect(sentBy(outbox).length).toBe(5);
  });

  it('refuses to take numbers for acknowledged that were never sent, or that are old', () => {
    const outbox = new Outbox(1);
    outbox.add({ name: 'clear' });
    outbox.add({ name: 'clear' });
    expect(outbox.acknowledge(1)).toBeUndefined();
    sentBy(outbox);
    expect(outbox.acknowledge(3)).toBeUndefined();
    expect(outbox.acknowledge(2)?.length).toBe(2);
    expect(outbox.acknowledge(1)).toBeUndefined();
    expect(outbox.acknowledge(2)).toEqual([]);
  });

  it('goes round the numbers without end', () => {
    const outbox = new Outbox(1);
    for (let i = 0; i < 1000; i++) {
      outbox.add({ name: 'clear' });
      expect(seqs(sentBy(outbox))).toEqual([i & 0xff]);
      expect(outbox.acknowledge((i + 1) & 0xff)?.length).toBe(1);
    }
  });
});
