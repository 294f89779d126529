import { describe, expect, it } from 'vitest';
import type { BytePipe } from '../../firmware-host/stand/byte-pipe';
import { NoAnswer } from '../../firmware-host/stand/handshake';
import { SegmentLink } from '../../firmware-host/stand/segment-link';
import { decodeToStand, encodeToHost } from '../../firmware-host/wire/frame';
import { OPEN, Rig } from '../support/rig';
import { randomWalk, segment } from '../support/segments';
import { opened } from '../support/stand-frames';

/** A pipe with nobody at the other end but the answers of `answer`. */
function puppet(answer: (bytes: Uint8Array) => Uint8Array | undefined): BytePipe {
  let hear: (bytes: Uint8Array) => void = () => {};
  return {
    write(bytes) {
      const reply = answer(bytes);
      if (reply !== undefined) hear(reply);
    },
    onBytes: (listener) => {
      hear = listener;
    },
    onClose: () => {},
    close: async () => {},
  };
}

describe('opening a link', () => {
  it('asks again until a board that is still in its boot-loader hears', async () => {
    let asked = 0;
    const rig = new Rig((pipe, { simulation }) => ({
      ...hearing(pipe),
      write(bytes) {
        asked++;
        if (simulation.clock.now() >= 2) pipe.write(bytes);
      },
    }));
    const identity = await rig.settle(rig.link.open(OPEN));
    expect(identity.protocol).toBe(1);
    expect(asked).toBeGreaterThan(5);
    expect(rig.simulation.clock.now()).toBeLessThan(2.5);
  });

  it('gives up after five seconds of silence and says what to look at', async () => {
    const rig = new Rig(() => puppet(() => undefined));
    const opening = rig.link.open(OPEN);
    await expect(rig.settle(opening)).rejects.toThrow(NoAnswer);
    await expect(opening).rejects.toThrow(/did not open within 5 s.*powered, plugged in/);
    expect(rig.simulation.clock.now()).toBeGreaterThanOrEqual(5);
  });

  it('tells older and newer firmware apart', async () => {
    const speaking = (protocol: number) =>
      new Rig(() =>
        puppet((bytes) => {
          const asked = decodeToStand(bytes.subarray(2, -1));
          return typeof asked !== 'string' && asked.name === 'open'
            ? encodeToHost(opened({ protocol }), asked.proposedLink, 0)
            : undefined;
        }),
      );
    const older = speaking(0);
    await expect(older.settle(older.link.open(OPEN))).rejects.toThrow(/revision 0 .*Flash the controller image/);
    const newer = speaking(2);
    await expect(newer.settle(newer.link.open(OPEN))).rejects.toThrow(/revision 2 .*Update this program/);
  });

  it('tells what the board refused', async () => {
    const rig = new Rig();
    const opening = rig.link.open({ ...OPEN, rampMs: 9999 });
    await expect(rig.settle(opening)).rejects.toThrow(/refused to open the link: a value is out of range/);
  });

  it('in the middle of a walk begun by a host that died eases it first, and owns no place of it', async () => {
    const rig = new Rig();
    await rig.ready();
    rig.feed(randomWalk(1, 2000));
    rig.link.pace(1);
    rig.advance(1);
    expect(rig.status.pace).toBe(1);
    rig.hang(true);
    const heir = new SegmentLink({ clock: rig.simulation.clock, linkId: 9000, words: 'heir', virtual: true });
    heir.attach(rig.stand.pipe);
    const identity = await rig.settle(heir.open(OPEN));
    expect(identity).toMatchObject({ before: null, words: 'heir' });
    const stood = rig.stand.truth().steps;
    rig.advance(1);
    expect(rig.stand.truth().steps).toEqual(stood);
    expect(rig.stand.truth().drivesEnabled).toBe(true);
  });

  it('twice gives up the first', async () => {
    const rig = new Rig();
    const first = rig.link.open(OPEN);
    const second = rig.link.open(OPEN);
    await expect(first).rejects.toThrow(/opened anew/);
    expect((await rig.settle(second)).bootId).toBe(0x0b00);
  });
});

describe('a link', () => {
  it('that is not open has no room, takes no flush and loses commands without ado', async () => {
    const rig = new Rig();
    expect(rig.link.room()).toBe(0);
    expect(() => rig.link.push(segment(100, [1]))).toThrow(RangeError);
    await expect(rig.link.flush()).rejects.toThrow(/not connected/);
    rig.link.pace(1);
    rig.link.drives(true);
    rig.link.lift('down');
    rig.link.ease();
    rig.link.clear();
    rig.advance(0.2);
    expect(rig.stand.truth()).toMatchObject({ drivesEnabled: false, liftHeight: 1 });
  });

  it('refuses segments beyond its room before they get on the line', async () => {
    const rig = new Rig();
    await rig.ready();
    expect(() => rig.link.push(new Uint8Array(7))).toThrow(RangeError);
    expect(() => rig.link.push(new Uint8Array((rig.link.room() + 1) * 8))).toThrow(RangeError);
    expect(rig.refusals).toEqual([]);
  });

  it('says in words what the stand refused', async () => {
    const rig = new Rig();
    await rig.ready();
    rig.link.push(segment(100, [51]));
    rig.advance(0.2);
    rig.link.drives(true);
    rig.advance(0.2);
    expect(rig.refusals).toEqual([
      'The stand refused to take segments: segment 0 of the frame breaks the rule on steps.',
      'The stand refused to switch the drives: a latched stop stands; clear it first.',
    ]);
    expect(rig.status.latchedStop).toBe('bad segment');
  });

  it('takes one flush at a time, and none of segments meanwhile', async () => {
    const rig = new Rig();
    await rig.ready();
    const first = rig.link.flush();
    await expect(rig.link.flush()).rejects.toThrow(/emptied already/);
    expect(rig.link.room()).toBe(0);
    await rig.settle(first);
    expect(rig.link.room()).toBeGreaterThan(0);
  });

  it('rejects a flush in motion with the words of the refusal', async () => {
    const rig = new Rig();
    await rig.ready();
    rig.feed(randomWalk(1, 500));
    rig.link.pace(1);
    rig.advance(0.8);
    await expect(rig.settle(rig.link.flush())).rejects.toThrow(/in motion/);
    expect(rig.status.pace).toBe(1);
  });

  it('eases when it is closed, and what stays behind is lifted by the controller itself', async () => {
    const rig = new Rig();
    await rig.ready();
    rig.feed(randomWalk(1, 2000));
    rig.link.pace(1);
    rig.advance(1);
    await rig.link.close();
    rig.advance(1);
    const stood = rig.stand.truth().steps;
    rig.advance(1);
    expect(rig.stand.truth()).toMatchObject({ steps: stood, drivesEnabled: true, liftHeight: 1 });
  });

  it('counts frames of another link and tells nobody of them', async () => {
    let foreign = false;
    const rig = new Rig((pipe) => ({
      ...hearing(pipe),
      write: (bytes) => pipe.write(bytes),
      onBytes: (listener) =>
        pipe.onBytes((bytes) => {
          listener(bytes);
          if (foreign) listener(encodeToHost({ name: 'flushed', segmentsBegun: 7, ticksLeft: 1 }, 4242, 0));
        }),
    }));
    await rig.ready();
    foreign = true;
    rig.advance(0.5);
    expect(rig.link.counters().link).toBeGreaterThan(5);
    expect(rig.losses).toEqual([]);
  });
});

function hearing(pipe: BytePipe): Omit<BytePipe, 'write'> {
  return {
    onBytes: (listener) => pipe.onBytes(listener),
    onClose: (listener) => pipe.onClose(listener),
    close: () => pipe.close(),
  };
}
