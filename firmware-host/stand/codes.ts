/** The numbers of SPEC sections 3 to 6 and what they are called on the host. */
import type { RefusedFrame } from '../wire/frame-table';
import type { BootCause, LiftState, StandInputs, StopCause } from './stand-link';

export const STATE_BITS = {
  drivesOn: 0x01,
  linkOpen: 0x02,
  hostSilent: 0x04,
  seekOn: 0x08,
  seekLatched: 0x10,
  atPlannedRest: 0x20,
  positionLost: 0x40,
  drivesReady: 0x80,
} as const;

/** Bit of each input in the status and in a seek's mask. */
export const INPUT_BITS: Readonly<Record<keyof StandInputs, number>> = {
  halt: 1 << 0,
  guard: 1 << 1,
  driveFault: 1 << 2,
  index: 1 << 3,
  strokeLow: 1 << 4,
  strokeHigh: 1 << 5,
  radialLow: 1 << 6,
  radialHigh: 1 << 7,
  lapTurnReference: 1 << 8,
  liftUp: 1 << 9,
  liftDown: 1 << 10,
  freeOfGlass: 1 << 12,
};

/** Index = code of the status. */
export const STOP_CAUSES: readonly (StopCause | null)[] = [
  null,
  'halt',
  'drive fault',
  'guard open',
  'limit',
  'lift late',
  'system reset',
  'bad segment',
  'link errors',
];

export const LIFT_STATES: readonly LiftState[] = ['unknown', 'up', 'rising', 'down', 'falling'];

/** Index = code of the opened frame. */
export const BOOT_CAUSES: readonly (BootCause | undefined)[] = [
  undefined,
  'power',
  'external',
  'brown-out',
  'watchdog',
  'virtual',
];
/** Code of the board with few inputs. */
export const SMALL_BOARD = 2;
export const VIRTUAL_BOARD = 'virtual board';
export const BOARDS: readonly (string | undefined)[] = [
  undefined,
  'reference board (ATmega2560)',
  'small board (ATmega328P)',
  VIRTUAL_BOARD,
];

const TYPES: Readonly<Record<number, string>> = {
  1: 'open the link',
  16: 'take segments',
  17: 'set the pace',
  18: 'switch the drives',
  19: 'move the lift',
  20: 'seek',
  21: 'empty the queue',
  22: 'clear the stop',
};

export const REASONS = {
  range: 1,
  inMotion: 2,
  latchedStop: 3,
  drivesNotReady: 4,
  ringFull: 5,
  segmentRule: 6,
  gap: 7,
  causeStands: 8,
  hostSilent: 9,
  seekLatched: 10,
  stale: 11,
} as const;

const SEGMENT_RULES = ['', 'ticks', 'flags', 'directions', 'steps', 'axis not on this board', 'sign', 'rest too fast'];

function reasonWords(frame: RefusedFrame): string {
  switch (frame.reason) {
    case REASONS.range:
      return 'a value is out of range';
    case REASONS.inMotion:
      return 'the walk is in motion';
    case REASONS.latchedStop:
      return 'a latched stop stands; clear it first';
    case REASONS.drivesNotReady:
      return 'the drives are off or not ready yet';
    case REASONS.ringFull:
      return 'its queue is full';
    case REASONS.segmentRule:
      return `segment ${frame.detail & 15} of the frame breaks the rule on ${SEGMENT_RULES[frame.detail >> 4] ?? 'segments'}`;
    case REASONS.gap:
      return 'segments before these were refused; empty the queue first';
    case REASONS.causeStands:
      return `its cause is still there (${STOP_CAUSES[frame.detail] ?? 'not at rest yet'})`;
    case REASONS.hostSilent:
      return 'it has heard no sign of life from the host';
    case REASONS.seekLatched:
      return 'a seek has found its place; end the seek first';
    case REASONS.stale:
      return 'an ease or a planned rest came first';
    default:
      return `reason ${frame.reason}`;
  }
}

/** What the controller refused and why, for a person. */
export function refusalWords(frame: RefusedFrame): string {
  return `The stand refused to ${TYPES[frame.refusedType] ?? `run command ${frame.refusedType}`}: ${reasonWords(frame)}.`;
}
