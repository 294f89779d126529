/** How cases begin: a link open, drives ready, or a walk at full pace; and the codes of the SPEC they share. */
import type { StatusFrame } from '../../../firmware-host/wire/frame-table';
import { concat, randomWalk, segment, stepsOf } from '../../support/segments';
import { type Port, TICK_HZ } from './port';
import { HAND_SECONDS, type Opening, Talk } from './talk';

export const BIT = {
  halt: 0x01,
  guard: 0x02,
  fault: 0x04,
  index: 0x08,
  strokeLow: 0x10,
  strokeHigh: 0x20,
  limits: 0xf0,
  liftUp: 0x200,
  liftDown: 0x400,
};
export const STATE = {
  drivesOn: 0x01,
  silent: 0x04,
  seekOn: 0x08,
  seekLatched: 0x10,
  rest: 0x20,
  lost: 0x40,
  ready: 0x80,
};
export const STOP = { none: 0, halt: 1, fault: 2, guard: 3, limit: 4, lift: 5, reset: 6, segment: 7, link: 8 };
export const LIFT = { unknown: 0, up: 1, rising: 2, down: 3, falling: 4 };
export const REASON = {
  value: 1,
  motion: 2,
  stop: 3,
  drives: 4,
  full: 5,
  rule: 6,
  gap: 7,
  cause: 8,
  silent: 9,
  seek: 10,
  stale: 11,
};

/** A long even walk of the turntable: one step in four ticks. */
export function even(count: number): Uint8Array {
  return concat(Array.from({ length: count }, () => segment(200, [50])));
}

/** A time-out of so many ms that answers and what is asked after them still fall into, however long the line takes. */
export function inTimeMs(port: Port, ms: number): number {
  return ms + Math.ceil((4 * port.latencyTicks) / (TICK_HZ / 1000));
}

/** Segments a second that a walk needs beside those the ring takes: none where answers and contacts come at once. */
function more(port: Port, segmentsPerSecond: number): number {
  const waits = port.bare ? HAND_SECONDS + 5 : 0;
  return Math.ceil(segmentsPerSecond * (waits + (20 * port.latencyTicks) / TICK_HZ));
}

/** An even walk that goes on until a contact was moved: by a machine at once, by a person within the time they may take. */
export function longEven(port: Port): Uint8Array {
  return even(110 + more(port, 200));
}

/** The same at random, 147 ticks a segment in the mean. */
export function longWalk(port: Port, seed: number): Uint8Array {
  return randomWalk(seed, 110 + more(port, 300), port.axes);
}

/** A limit that can be had alone: all four where they are wired in series. */
export const limitOf = (port: Port): number => (port.limitsInSeries ? BIT.limits : BIT.strokeLow);

export function dwell(count: number): Uint8Array {
  return concat(Array.from({ length: count }, () => segment(255, [])));
}

export function opened(port: Port, changes: Partial<Opening> = {}): Talk {
  const talk = new Talk(port);
  talk.open(changes);
  return talk;
}

/** Link open, drives ready, numbers at 0, nothing queued. */
export function ready(port: Port, changes: Partial<Opening> = {}): Talk {
  const talk = new Talk(port);
  talk.ready(changes);
  return talk;
}

/** Under way at full pace. */
export function walking(port: Port, segments = longEven(port)): Talk {
  const talk = ready(port);
  talk.begin(segments);
  fullPace(talk);
  return talk;
}

export function fullPace(talk: Talk): void {
  talk.until('full pace', 1, () => (talk.last('status')?.paceLevel === 64 ? true : undefined));
}

export function hasState(talk: Talk, bit: number): boolean {
  return ((talk.last('status')?.state ?? 0) & bit) !== 0;
}

/** Waits until a stop is latched and the walk is at rest; returns a report of then. */
export function stopIs(talk: Talk, cause: number): StatusFrame {
  talk.until(`stop ${cause}`, 2, () => (talk.last('status')?.latchedStop === cause ? true : undefined));
  talk.until('rest', 2, () => (talk.last('status')?.paceLevel === 0 ? true : undefined));
  talk.run(0.05);
  return talk.status();
}

/** The motors have made exactly the steps up to the place told. */
export function onPath(talk: Talk, segments: Uint8Array, place: { segmentsBegun: number; ticksLeft: number }): void {
  const wanted = stepsOf(segments, { segment: place.segmentsBegun - 1, ticksLeft: place.ticksLeft });
  talk.made(wanted);
}
