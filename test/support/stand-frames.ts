/** Frames a controller would send, for tests that play the controller by hand. */
import type { OpenedFrame, StatusFrame } from '../../firmware-host/wire/frame-table';

export const LINK = 77;
export const BOOT = 0x0b00;

export function opened(changes: Partial<OpenedFrame> = {}): OpenedFrame {
  return {
    name: 'opened',
    link: LINK,
    seq: 0,
    protocol: 1,
    bootId: BOOT,
    bootCause: 5,
    board: 3,
    axes: 5,
    ringSize: 128,
    paceLevels: 64,
    tickTensOfHz: 4000,
    imageHash: 1,
    linkBefore: 0,
    segmentsBegunBefore: 0,
    ticksLeftBefore: 0,
    ...changes,
  };
}

/** At rest, link open, nothing taken yet. */
export function status(changes: Partial<StatusFrame> = {}): StatusFrame {
  return {
    name: 'status',
    link: LINK,
    seq: 0,
    seqExpected: 0,
    ringFree: 128,
    segmentsAccepted: 0,
    segmentsBegun: 0,
    ticksLeft: 0,
    paceLevel: 0,
    paceTarget: 0,
    state: 0x02,
    latchedStop: 0,
    lift: 1,
    inputs: 0,
    clockTicks: 1000,
    droopTicks: 0,
    underruns: 0,
    indexCount: 0,
    indexBegun: 0,
    indexTicksLeft: 0,
    seekBegun: 0,
    seekTicksLeft: 0,
    stopBegun: 0,
    stopTicksLeft: 0,
    crcErrors: 0,
    lengthErrors: 0,
    typeErrors: 0,
    linkErrors: 0,
    sequenceErrors: 0,
    abortedErrors: 0,
    overrunErrors: 0,
    refusals: 0,
    bootId: BOOT,
    restsReached: 0,
    ...changes,
  };
}
