/**
 * What only an instrument at the pins can tell of a board: a person reads it off and types it. Limits are those of the SPEC, of
 * hardware-notes/WIRING.md (pulses) or common practice (the resonator), as each says.
 */
import { concat, REST, segment } from '../support/segments';
import { BIT, fullPace, longEven, ready, STOP, stopIs } from '../wire/conformance/begin';
import { Talk } from '../wire/conformance/talk';
import type { BarePort } from './bare-port';
import { ask } from './bench';

export interface Reading {
  section: number;
  rule: string;
  /** Signals of the pin table to probe, the one to trigger on first. */
  signals: readonly string[];
  /** How to set the instrument and where to look. */
  look: string;
  unit: string;
  least: number;
  most: number;
  /** Brings the board to do it and returns what the person read. Throws LeftOut. */
  take(port: BarePort, question: string): number;
}

/** Seconds a person has to read an instrument while the board walks. */
const READING_SECONDS = 600;
const SEGMENT_SECONDS = 200 / 40_000;
const PULSES = 10_000;
const ENABLE_DELAY_MS = 200;

/** Types that can be read as a number, with point or comma. */
function numberOf(line: string): number | undefined {
  const value = Number(line.replace(',', '.'));
  return line === '' || !Number.isFinite(value) ? undefined : value;
}

/** Asks until a number is typed; `alive` lets time go by. Throws LeftOut. */
function askNumber(port: BarePort, question: string): number {
  for (;;) {
    const value = numberOf(ask(port.bench, question));
    if (value !== undefined) return value;
    port.bench.tell('    That is no number.\n');
  }
}

/** The board walks `one` again and again until a number is typed. */
function whileWalking(one: Uint8Array): Reading['take'] {
  return (port, question) => {
    const talk = ready(port);
    const count = Math.ceil(READING_SECONDS / SEGMENT_SECONDS / (one.length / 8));
    talk.begin(concat(Array.from({ length: count }, () => one)));
    fullPace(talk);
    port.bench.tell('    The board is walking.\n');
    port.bench.tell(question);
    for (;;) {
      const line = talk.until('a number', READING_SECONDS, () => port.takeLine());
      const value = numberOf(line.trim());
      if (value !== undefined) {
        talk.rest();
        return value;
      }
      port.bench.tell('    That is no number.\n');
    }
  };
}

/** Each Enter has it done once; a number ends it. */
function eachTime(act: (port: BarePort) => void): Reading['take'] {
  return (port, question) => {
    for (;;) {
      const line = ask(port.bench, '    Arm the instrument, then press Enter: ');
      if (line !== '') continue;
      act(port);
      const value = ask(port.bench, `${question.trimEnd()} (or Enter to have it done again): `);
      const read = numberOf(value);
      if (read !== undefined) return read;
    }
  };
}

const FAST = segment(200, [100, 100, 100, 100]);
const THERE_AND_BACK = concat([segment(200, [50]), segment(200, [-50])]);

/** A walk until a person opens the halt contact, and what they read of it. */
const atHalt: Reading['take'] = (port, question) => {
  const talk = ready(port);
  talk.begin(longEven(port));
  fullPace(talk);
  talk.hold(BIT.halt, 0);
  stopIs(talk, STOP.halt);
  const value = askNumber(port, question);
  const after = new Talk(port);
  after.open();
  after.hold(0, 0);
  return value;
};

export const READINGS: readonly Reading[] = [
  {
    section: 3,
    rule: 'a tick is 25 us: at a step in two ticks STEP comes 20,000 times a second (resonator within 0.5 %: common practice, no source)',
    signals: ['step.turntable'],
    look: 'Frequency of STEP.',
    unit: 'Hz',
    least: 19_900,
    most: 20_100,
    take: whileWalking(FAST),
  },
  {
    section: 3,
    rule: 'STEP is high for at least 20 us at 20,000 steps a second (WIRING)',
    signals: ['step.turntable'],
    look: 'Least high time of STEP, over some seconds.',
    unit: 'us',
    least: 20,
    most: 30,
    take: whileWalking(FAST),
  },
  {
    section: 3,
    rule: 'STEP is low for at least 20 us at 20,000 steps a second (WIRING)',
    signals: ['step.turntable'],
    look: 'Least low time of STEP, over some seconds.',
    unit: 'us',
    least: 20,
    most: 30,
    take: whileWalking(FAST),
  },
  {
    section: 3,
    rule: 'axes that step in the same tick rise within 6 us of each other',
    signals: ['step.turntable', 'step.lapTurn'],
    look: 'Time between the rising edges of both, whichever comes first.',
    unit: 'us',
    least: 0,
    most: 6,
    take: whileWalking(FAST),
  },
  {
    section: 1,
    rule: 'DIR changes at least a tick (25 us) before the next STEP rises',
    signals: ['direction.turntable', 'step.turntable'],
    look: 'Least time from an edge of DIR to the next rising edge of STEP.',
    unit: 'us',
    least: 25,
    most: 10_000,
    take: whileWalking(THERE_AND_BACK),
  },
  {
    section: 1,
    rule: 'DIR changes at least a tick (25 us) after the last STEP rose',
    signals: ['direction.turntable', 'step.turntable'],
    look: 'Least time from the last rising edge of STEP to an edge of DIR.',
    unit: 'us',
    least: 25,
    most: 10_000,
    take: whileWalking(THERE_AND_BACK),
  },
  {
    section: 1,
    rule: `a walk of ${PULSES} steps makes ${PULSES} pulses`,
    signals: ['step.turntable'],
    look: `Pulses of STEP, counted from 0 (a counter, or a scope that counts).`,
    unit: 'pulses',
    least: PULSES,
    most: PULSES,
    take: eachTime((port) => {
      const segments = Array.from({ length: PULSES / 50 }, () => segment(200, [50]));
      ready(port).walk(concat([...segments, REST]));
    }),
  },
  {
    section: 4,
    rule: `no STEP comes before the drives were enabled for the time that open asked for (${ENABLE_DELAY_MS} ms)`,
    signals: ['enable', 'step.turntable'],
    look: 'One shot: time from ENABLE switching on to the first rising edge of STEP.',
    unit: 'ms',
    least: ENABLE_DELAY_MS,
    most: 10 * ENABLE_DELAY_MS,
    take: eachTime((port) => {
      const talk = ready(port, { enableDelayMs: ENABLE_DELAY_MS });
      talk.do({ name: 'drives', on: 0 });
      talk.run(0.1);
      talk.do({ name: 'drives', on: 1 });
      talk.until('drives ready', 1, () => ((talk.last('status')?.state ?? 0) & 0x80 ? true : undefined));
      talk.do({ name: 'flush' });
      talk.walk(concat([...Array.from({ length: 60 }, () => segment(200, [50])), REST]));
      talk.do({ name: 'drives', on: 0 });
    }),
  },
  {
    section: 5,
    rule: 'after halt opened, no STEP rises later than a tick (25 us)',
    signals: ['halt', 'step.turntable'],
    look: 'One shot on the rising edge of HALT: time from it to the last rising edge of STEP; 0 where none comes after it.',
    unit: 'us',
    least: 0,
    most: 25,
    take: atHalt,
  },
  {
    section: 5,
    rule: 'after halt opened, ENABLE is off within a tick and 6 us (31 us)',
    signals: ['halt', 'enable'],
    look: 'One shot on the rising edge of HALT: time from it to ENABLE switching off.',
    unit: 'us',
    least: 0,
    most: 31,
    take: atHalt,
  },
];
