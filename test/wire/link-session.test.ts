import { describe, expect, it } from 'vitest';
import { type LinkEvent, LinkSession } from '../../firmware-host/stand/link-session';
import { decodeToStand } from '../../firmware-host/wire/frame';
import type { StatusFrame, ToStand } from '../../firmware-host/wire/frame-table';
import { LINK, opened, status } from '../support/stand-frames';

/** A session at time 0 whose controller is played by hand. */
function begin() {
  const session = new LinkSession(LINK, opened(), 0);
  let clockTicks = 1000;
  return {
    session,
    sent(now = 0, life = 0): ToStand[] {
      const frames: ToStand[] = [];
      for (let wire = session.next(now, life); wire !== undefined; wire = session.next(now, life)) {
        frames.push(decodeToStand(wire.subarray(2, -1)) as ToStand);
      }
      return frames;
    },
    hear(changes: Partial<StatusFrame>, now = 0): LinkEvent[] {
      clockTicks += 100;
      return session.receive(status({ clockTicks, ...changes }), now);
    },
  };
}

const names = (frames: ToStand[]): string[] => frames.map((frame) => frame.name);
const kinds = (events: LinkEvent[]): string[] => events.map((event) => event.kind);
const segments = (count: number): Uint8Array => new Uint8Array(8 * count);

describe('credit', () => {
  it('never lets more segments out than the ring had free less those unacknowledged', () => {
    const { session, sent, hear } = begin();
    expect(session.room()).toBe(56);
    session.push(segments(56));
    expect(session.room()).toBe(0);
    sent();
    hear({ seqExpected: 4, ringFree: 100, segmentsAccepted: 28 });
    expect(session.room()).toBe(56 - 28);
    hear({ seqExpected: 8, ringFree: 30, segmentsAccepted: 56 });
    expect(session.room()).toBe(30);
    session.push(segments(30));
    expect(session.room()).toBe(0);
  });

  it('is not raised by an old report', () => {
    const { session, sent, hear } = begin();
    session.push(segments(7));
    sent();
    hear({ seqExpected: 1, ringFree: 5, clockTicks: 5000 });
    hear({ seqExpected: 1, ringFree: 100, clockTicks: 4000 });
    expect(session.room()).toBe(5);
    expect(session.counters.sequence).toBe(1);
  });
});

describe('lost frames', () => {
  it('are sent again after a while without an acknowledgement, and only then', () => {
    const { session, sent } = begin();
    session.command({ name: 'clear' });
    expect(names(sent(0))).toContain('clear');
    session.beat(0.05);
    expect(names(sent(0.05))).toEqual([]);
    session.beat(0.08);
    expect(names(sent(0.08))).toEqual(['clear']);
  });

  it('are sent again at once when the controller reports damage, once for each frame waited for', () => {
    const { session, sent, hear } = begin();
    session.push(segments(14));
    sent();
    hear({ crcErrors: 1 });
    expect(names(sent())).toEqual(['segments', 'segments']);
    hear({ crcErrors: 1, sequenceErrors: 1 });
    expect(names(sent())).toEqual([]);
  });

  it('end the link when nothing is ever acknowledged though the stand talks', () => {
    const { session, sent, hear } = begin();
    session.command({ name: 'clear' });
    sent();
    const events: LinkEvent[] = [];
    for (let now = 0; now < 4; now += 0.04) {
      hear({}, now);
      events.push(...session.beat(now));
      sent(now);
    }
    expect(kinds(events)).toEqual(['lost']);
  });
});

describe('ease', () => {
  it('goes before everything that waits and is repeated until the target is seen to be 0', () => {
    const { session, sent, hear } = begin();
    sent();
    session.push(segments(56));
    session.ease(0);
    expect(names(sent())[0]).toBe('ease');
    hear({ paceTarget: 64, paceLevel: 64 }, 0.03);
    expect(names(sent(0.05))).toContain('ease');
    hear({ paceTarget: 0, paceLevel: 60 }, 0.06);
    expect(names(sent(0.1))).not.toContain('ease');
  });

  it('is counted, so that a pace asked for before it stays overtaken', () => {
    const { session, sent } = begin();
    session.pace(1);
    session.ease(0);
    session.pace(0.5);
    const paces = sent().filter((frame) => frame.name === 'pace');
    expect(paces).toMatchObject([
      { target: 64, eases: 0 },
      { target: 32, eases: 1 },
    ]);
  });

  it('is not repeated once a pace was asked for again', () => {
    const { session, sent, hear } = begin();
    session.ease(0);
    sent();
    session.pace(1);
    hear({ seqExpected: 0, paceTarget: 64 }, 0.03);
    expect(names(sent(0.06))).not.toContain('ease');
  });
});

describe('pace', () => {
  it('carries the rests reached, so that it cannot start the walk out of a rest it did not know of', () => {
    const { session, sent, hear } = begin();
    hear({ restsReached: 3 });
    session.pace(0.001);
    expect(sent().filter((frame) => frame.name === 'pace')).toMatchObject([{ target: 1, rests: 3 }]);
  });
});

describe('the heartbeat', () => {
  it('goes every tenth of a second with the counter of the application', () => {
    const { sent } = begin();
    const beats: [number, number][] = [];
    for (let i = 0; i <= 20; i++) {
      for (const frame of sent(i * 0.025, i)) if (frame.name === 'heartbeat') beats.push([i * 25, frame.counter]);
    }
    expect(beats).toEqual([
      [0, 0],
      [100, 4],
      [200, 8],
      [300, 12],
      [400, 16],
      [500, 20],
    ]);
  });
});

describe('flush', () => {
  const flushing = () => {
    const begun = begin();
    begun.session.push(segments(7));
    begun.sent();
    begun.hear({ seqExpected: 1, segmentsAccepted: 7, segmentsBegun: 3, ticksLeft: 9 });
    begun.session.command({ name: 'flush' });
    begun.sent();
    return begun;
  };
  const answer = { name: 'flushed', link: LINK, seq: 0, segmentsBegun: 3, ticksLeft: 9 } as const;
  const stood = { kind: 'flushed', place: { segment: 2, ticksLeft: 9 } };

  it('tells the place that stood, then counts from 0', () => {
    const { session, hear } = flushing();
    expect(session.room()).toBe(0);
    session.receive(answer, 0);
    const events = hear({ seqExpected: 2, segmentsAccepted: 0, segmentsBegun: 0 });
    expect(events[0]).toEqual(stood);
    expect(events[1]).toMatchObject({ status: { place: { segment: -1 }, segmentsAccepted: 0 } });
    expect(session.room()).toBe(56);
  });

  it('knows the place from the last report at rest when the answer is lost', () => {
    const { hear } = flushing();
    expect(hear({ seqExpected: 2 })[0]).toEqual(stood);
  });

  it('waits for an answer behind the acknowledgement when no report at rest came before', () => {
    const { session, hear } = flushing();
    hear({ seqExpected: 1, segmentsAccepted: 7, segmentsBegun: 3, paceLevel: 4 });
    expect(kinds(hear({ seqExpected: 2 }))).toEqual(['status']);
    expect(session.receive(answer, 0.01)).toEqual([stood]);
  });

  it('says so when the place was lost on the line', () => {
    const { session, hear } = flushing();
    hear({ seqExpected: 1, segmentsAccepted: 7, segmentsBegun: 3, paceLevel: 4 });
    hear({ seqExpected: 2 });
    expect(kinds(session.beat(0.2))).toEqual(['flushRefused']);
  });

  it('that was refused leaves the numbers going on, told or not', () => {
    const lost = flushing();
    expect(kinds(lost.hear({ seqExpected: 2, segmentsAccepted: 7, segmentsBegun: 3 }))).toEqual([
      'flushRefused',
      'status',
    ]);
    const told = flushing();
    const refusal = {
      name: 'refused',
      link: LINK,
      seq: 0,
      refusedSeq: 1,
      refusedType: 0x15,
      reason: 2,
      detail: 0,
    } as const;
    expect(told.session.receive(refusal, 0)).toEqual([
      { kind: 'flushRefused', words: 'The stand refused to empty the queue: the walk is in motion.' },
    ]);
    expect(kinds(told.hear({ seqExpected: 2, segmentsAccepted: 7, segmentsBegun: 3 }))).toEqual(['status']);
  });

  it('hides latched places whose numbers went with it until they are latched again', () => {
    const { session, hear } = flushing();
    const index = { indexCount: 1, indexBegun: 2, indexTicksLeft: 4 };
    hear({ seqExpected: 1, segmentsAccepted: 7, segmentsBegun: 3, ticksLeft: 9, ...index });
    session.receive(answer, 0);
    const after = hear({ seqExpected: 2, indexCount: 1 });
    expect(after[1]).toMatchObject({ status: { index: { count: 1, place: null } } });
    const again = hear({ seqExpected: 2, segmentsBegun: 5, indexCount: 2, indexBegun: 4, indexTicksLeft: 1 });
    expect(again[0]).toMatchObject({ status: { index: { count: 2, place: { segment: 3, ticksLeft: 1 } } } });
  });
});

describe('a stand that goes', () => {
  it('silent is reported once, and heard again without ado', () => {
    const { session, hear } = begin();
    expect(session.beat(0.99)).toEqual([]);
    expect(kinds(session.beat(1))).toEqual(['lost']);
    expect(session.beat(1.5)).toEqual([]);
    expect(kinds(hear({}, 1.6))).toEqual(['status']);
    expect(kinds(session.beat(2.6))).toEqual(['lost']);
  });

  it('repeats an old report for ever is taken for silent', () => {
    const { session, hear } = begin();
    hear({ clockTicks: 9000 });
    for (let now = 0.1; now < 1; now += 0.1) expect(kinds(hear({ clockTicks: 8000 }, now))).toEqual([]);
    expect(kinds(session.beat(1))).toEqual(['lost']);
  });

  it('counts from 0 again after an old open is lost, and what it tells of the place is not believed', () => {
    const { session, sent, hear } = begin();
    session.command({ name: 'clear' });
    sent();
    hear({ seqExpected: 1 });
    expect([hear({ seqExpected: 0 }), hear({ seqExpected: 0 })].flat()).toEqual([]);
    expect(session.begunAnew).toBe(false);
    expect(kinds(hear({ seqExpected: 0 }))).toEqual(['lost']);
    expect(session.begunAnew).toBe(true);
  });

  it('restarts is reported, and its reports are not taken for those of before', () => {
    const { session, hear } = begin();
    expect(kinds(hear({ bootId: 1 }))).toEqual(['lost']);
    expect(session.room()).toBe(0);
  });

  it('ends the link has its last report told, then is lost', () => {
    const { session, sent, hear } = begin();
    hear({});
    const events = hear({ link: 0, state: 0, latchedStop: 6 });
    expect(kinds(events)).toEqual(['status', 'lost']);
    expect(events[0]).toMatchObject({ status: { latchedStop: 'system reset' } });
    session.pace(1);
    expect(sent(10)).toEqual([]);
  });

  it('speaks under another link is not listened to', () => {
    const { session, hear } = begin();
    expect(hear({ link: 5 })).toEqual([]);
    expect(session.counters.link).toBe(1);
  });
});

describe('numbers of 16 bits', () => {
  it('are counted on without end', () => {
    const { hear } = begin();
    let last = 0;
    for (let begun = 0; begun < 200_000; begun += 20_000) {
      const [event] = hear({ segmentsBegun: begun & 0xffff, segmentsAccepted: (begun + 100) & 0xffff });
      expect(event).toMatchObject({ status: { place: { segment: begun - 1 }, segmentsAccepted: begun + 100 } });
      last = begun;
    }
    const [event] = hear({ segmentsBegun: last & 0xffff, indexCount: 1, indexBegun: (last - 30) & 0xffff });
    expect(event).toMatchObject({ status: { index: { place: { segment: last - 31 } } } });
  });
});
