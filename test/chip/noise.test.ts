import { describe, expect, it } from 'vitest';
import { readPins } from '../../firmware-host/controller/pin-table';
import { expectWalksAfter } from './chip-noise';
import { DeskHost, TYPE } from './desk-host';
import { frame, word } from './frames';
import { Seeded } from './seeded';
import { SegmentSource } from './segments';

describe('noise on the line', () => {
  it('moves nothing, switches nothing on and locks nothing up (200,000 random bytes)', () => {
    const random = new Seeded(5);
    const host = new DeskHost();
    for (let round = 0; round < 200; round++) {
      host.board.write(Array.from({ length: 1000 }, () => random.whole(0, 255)));
      host.ms(45);
      expect(host.board.drivesEnabled).toBe(false);
    }
    expect(host.positions()).toEqual([0, 0, 0, 0, 0]);
    host.board.write([0xf7]);
    host.ready();
    // 0xFF was among the noise: the stop it latched must be cleared by a person, then everything works.
    expect(host.status.stop).toBe(6);
    expectWalksAfter(host);
  });

  it('frames with one flipped bit do nothing but count, at every bit of every byte', () => {
    const host = new DeskHost().ready({ rampMs: 60 });
    const good = frame(TYPE.segments, host.link, host.seq, [100, 0, 0, 10, 20, 30, 40, 50]);
    let flips = 0;
    for (let at = 2; at < good.length - 1; at++) {
      for (let bit = 0; bit < 7; bit++) {
        const bad = [...good];
        bad[at]! ^= 1 << bit;
        host.board.write(bad);
        host.ms(60); // slowly, so as not to be "too many in a second"
        flips++;
      }
    }
    const { accepted, seq, stop, counters } = host.status;
    expect({ accepted, seq, stop }).toEqual({ accepted: 0, seq: host.seq, stop: 0 });
    expect(counters[0]! + counters[1]!).toBe(flips);
  });

  it('a frame cut at any byte is dropped, and the next one is taken', () => {
    const host = new DeskHost().ready();
    const good = (): number[] => frame(TYPE.segments, host.link, host.seq, [100, 0, 0, 0, 0, 0, 0, 0]);
    const { length } = good();
    let accepted = 0;
    for (let cut = 1; cut < length; cut++) {
      host.board.write(good().slice(0, cut));
      host.board.write(good());
      host.seq++;
      host.ms(60);
      expect(host.status.accepted).toBe(++accepted);
    }
    expect(host.status.counters[5]).toBe(length - 1);
  });

  it('a frame longer than the page allows is dropped whole', () => {
    const host = new DeskHost().ready();
    const long = frame(
      TYPE.segments,
      host.link,
      host.seq,
      Array.from({ length: 8 }, () => [100, 0, 0, 0, 0, 0, 0, 0]).flat(),
    );
    host.board.write(long);
    host.ms(60);
    expect(host.status).toMatchObject({ accepted: 0, seq: host.seq });
    expect(host.status.counters[1]).toBe(1);
  });

  it('padding that is not zero, or a byte too many, is not accepted', () => {
    const host = new DeskHost().ready();
    const good = frame(TYPE.heartbeat, host.link, 0, word(9)); // 8 bytes: 10 on the wire, 6 bits of padding
    const padded = [...good];
    padded[padded.length - 2]! |= 0x40;
    host.board.write(padded);
    host.board.write([...good.slice(0, -1), 0x00, 0xf7]);
    host.ms(60);
    expect(host.status.counters[1]! + host.status.counters[0]!).toBe(2);
  });

  it('duplicates and frames from the future are acknowledged, not run', () => {
    const host = new DeskHost().ready();
    const segment = [100, 0, 0, 1, 0, 0, 0, 0];
    const first = frame(TYPE.segments, host.link, host.seq, segment);
    const third = frame(TYPE.segments, host.link, host.seq + 2, segment);
    for (const bytes of [first, first, third, first]) {
      host.board.write(bytes);
      host.ms(20);
    }
    expect(host.status).toMatchObject({ accepted: 1, seq: host.seq + 1 });
    expect(host.status.counters[4]).toBe(1);
  });

  it('a stock Firmata client may ask and command what it likes while the stand walks', () => {
    const walk = (disturb: boolean): unknown => {
      const host = new DeskHost().ready({ rampMs: 60 });
      const source = new SegmentSource(new Seeded(3), 5);
      host.push(Array.from({ length: 119 }, () => source.next()));
      host.pace(64);
      host.ms(20);
      if (disturb) {
        host.board.write([0x90, 0x7f, 0x01, 0x91, 0x7f, 0x01, 0xf4, 2, 1, 0xf5, 3, 1, 0xe3, 1, 1, 0xc0, 1, 0xd0, 1]);
        host.board.write([0xf9, 0xf0, 0x79, 0xf7, 0xf0, 0x6b, 0xf7, 0xf0, 0x69, 0xf7, 0xf0, 0x62, 2, 0, 1, 0xf7]);
      }
      host.ms(150);
      host.ease();
      host.untilRest();
      return { at: host.positions(), counters: host.status.counters };
    };
    expect(walk(true)).toEqual(walk(false));
  });
});

describe('Firmata', () => {
  it('volunteers version and name at boot, and answers the queries a client needs to become ready', () => {
    const host = new DeskHost();
    const text = [...'Wholeturn'].flatMap((letter) => [letter.charCodeAt(0), 0]);
    const report = [0x79, 1, 0, ...text];
    expect(host.reader.others).toEqual([[0xf9], [2], [8], report]);
    host.reader.others.length = 0;
    host.board.write([0xf9, 0xf0, 0x79, 0xf7, 0xf0, 0x6b, 0xf7, 0xf0, 0x69, 0xf7]);
    host.ms(20);
    const { firmataPins, pins } = readPins().find(({ board }) => board === 'reference')!;
    const modes: number[][] = Array.from({ length: firmataPins }, () => [0x7f]);
    const channels: number[] = Array.from({ length: firmataPins }, () => 0x7f);
    let analogs = 0;
    for (const pin of pins) {
      if (pin.kind === 'accessory') modes[pin.firmataPin] = [0, 1, 1, 1, 0x0b, 1, 0x7f];
      if (pin.kind !== 'analog') continue;
      modes[pin.firmataPin] = [2, 10, 0x7f];
      channels[pin.firmataPin] = analogs++;
    }
    expect(host.reader.others).toEqual([[0xf9], [2], [8], report, [0x6c, ...modes.flat()], [0x6a, ...channels]]);
  });

  it('sends nothing more to a client that never opens a link', () => {
    const host = new DeskHost();
    host.ms(300);
    expect(host.reader.frames.filter(({ type }) => type === TYPE.status).length).toBeLessThanOrEqual(1);
  });
});
