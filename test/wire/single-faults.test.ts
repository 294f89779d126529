/** Every place of a frame, one fault at a time: each bit turned, each byte lost, the line cut off after each byte. */
import { describe, expect, it } from 'vitest';
import type { BytePipe } from '../../firmware-host/stand/byte-pipe';
import { Rig } from '../support/rig';
import { concat, randomWalk, stepsOf } from '../support/segments';

const SEGMENTS = randomWalk(5, 160);
const FRAME_BYTES = 74;

/** Does `damage` to the second full frame of segments, the first time it passes. */
function damaging(damage: (frame: Uint8Array) => Uint8Array) {
  let full = 0;
  return (pipe: BytePipe): BytePipe => ({
    write: (bytes) => pipe.write(bytes.length === FRAME_BYTES && ++full === 2 ? damage(bytes) : bytes),
    onBytes: (listener) => pipe.onBytes(listener),
    onClose: (listener) => pipe.onClose(listener),
    close: () => pipe.close(),
  });
}

function walked(rig: Rig, before: ReturnType<Rig['stand']['truth']>) {
  const after = rig.stand.truth();
  return {
    steps: after.steps.map((steps, axis) => steps - before.steps[axis]!),
    travel: after.travel.map((steps, axis) => steps - before.travel[axis]!),
  };
}

async function walkWith(damage: (frame: Uint8Array) => Uint8Array): Promise<void> {
  const rig = new Rig(damaging(damage));
  await rig.ready();
  const before = rig.stand.truth();
  rig.walk(SEGMENTS);
  expect(walked(rig, before)).toEqual(stepsOf(SEGMENTS));
  expect(rig.status).toMatchObject({ latchedStop: null, underruns: 0, positionLost: false });
}

describe('one fault in one frame of segments', () => {
  it('of any bit turned costs no step; one that makes a reset of it stops the walk on its path', async () => {
    let resets = 0;
    for (let bit = 0; bit < FRAME_BYTES * 8; bit++) {
      let reset = false;
      const turn = (frame: Uint8Array): Uint8Array => {
        const turned = frame.slice();
        turned[bit >> 3]! ^= 1 << (bit & 7);
        reset = turned[bit >> 3] === 0xff;
        return turned;
      };
      const rig = new Rig(damaging(turn));
      await rig.ready();
      const before = rig.stand.truth();
      rig.feed(SEGMENTS);
      rig.link.pace(1);
      rig.advance(1);
      if (!reset) {
        expect(walked(rig, before)).toEqual(stepsOf(SEGMENTS));
        continue;
      }
      resets++;
      expect(rig.status).toMatchObject({ latchedStop: 'system reset', positionLost: false, drivesOn: true });
      expect(rig.losses.length).toBe(1);
    }
    expect(resets).toBeGreaterThan(0);
  });

  it('of any byte lost costs no step', async () => {
    for (let at = 0; at < FRAME_BYTES; at++) {
      await walkWith((frame) => concat([frame.subarray(0, at), frame.subarray(at + 1)]));
    }
  });

  it('of the end cut off after any byte costs no step', async () => {
    for (let at = 0; at < FRAME_BYTES; at++) await walkWith((frame) => frame.slice(0, at));
  });
});
