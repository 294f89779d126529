/**
 * Every frame of SPEC section 4 in one table: type number, whether it takes a sequence number, and its body field by field.
 * Encoder, decoder and the TypeScript types are all made from it.
 */
export type FieldKind = 'u8' | 'u16' | 'u32' | 'segments';
export interface FrameShape {
  readonly type: number;
  readonly sequenced: boolean;
  readonly body: readonly (readonly [name: string, kind: FieldKind])[];
}
export type FrameTable = Readonly<Record<string, FrameShape>>;

/** Host to controller. */
export const TO_STAND = {
  open: {
    type: 0x01,
    sequenced: false,
    body: [
      ['proposedLink', 'u16'],
      ['rampMs', 'u16'],
      ['hostSilentMs', 'u16'],
      ['liftTimeoutMs', 'u16'],
      ['enableDelayMs', 'u16'],
    ],
  },
  heartbeat: { type: 0x02, sequenced: false, body: [['counter', 'u16']] },
  ease: { type: 0x03, sequenced: false, body: [['eases', 'u8']] },
  segments: { type: 0x10, sequenced: true, body: [['segments', 'segments']] },
  pace: {
    type: 0x11,
    sequenced: true,
    body: [
      ['target', 'u8'],
      ['rests', 'u8'],
      ['eases', 'u8'],
    ],
  },
  drives: { type: 0x12, sequenced: true, body: [['on', 'u8']] },
  lift: { type: 0x13, sequenced: true, body: [['up', 'u8']] },
  seek: {
    type: 0x14,
    sequenced: true,
    body: [
      ['mask', 'u16'],
      ['levels', 'u16'],
      ['on', 'u8'],
    ],
  },
  flush: { type: 0x15, sequenced: true, body: [] },
  clear: { type: 0x16, sequenced: true, body: [] },
} as const satisfies FrameTable;

/** Controller to host. */
export const TO_HOST = {
  opened: {
    type: 0x41,
    sequenced: false,
    body: [
      ['protocol', 'u8'],
      ['bootId', 'u16'],
      ['bootCause', 'u8'],
      ['board', 'u8'],
      ['axes', 'u8'],
      ['ringSize', 'u8'],
      ['paceLevels', 'u8'],
      ['tickTensOfHz', 'u16'],
      ['imageHash', 'u32'],
      ['linkBefore', 'u16'],
      ['segmentsBegunBefore', 'u16'],
      ['ticksLeftBefore', 'u8'],
    ],
  },
  status: {
    type: 0x42,
    sequenced: false,
    body: [
      ['seqExpected', 'u8'],
      ['ringFree', 'u8'],
      ['segmentsAccepted', 'u16'],
      ['segmentsBegun', 'u16'],
      ['ticksLeft', 'u8'],
      ['paceLevel', 'u8'],
      ['paceTarget', 'u8'],
      ['state', 'u8'],
      ['latchedStop', 'u8'],
      ['lift', 'u8'],
      ['inputs', 'u16'],
      ['clockTicks', 'u32'],
      ['droopTicks', 'u32'],
      ['underruns', 'u16'],
      ['indexCount', 'u16'],
      ['indexBegun', 'u16'],
      ['indexTicksLeft', 'u8'],
      ['seekBegun', 'u16'],
      ['seekTicksLeft', 'u8'],
      ['stopBegun', 'u16'],
      ['stopTicksLeft', 'u8'],
      ['crcErrors', 'u8'],
      ['lengthErrors', 'u8'],
      ['typeErrors', 'u8'],
      ['linkErrors', 'u8'],
      ['sequenceErrors', 'u8'],
      ['abortedErrors', 'u8'],
      ['overrunErrors', 'u8'],
      ['refusals', 'u8'],
      ['bootId', 'u16'],
      ['restsReached', 'u8'],
    ],
  },
  refused: {
    type: 0x43,
    sequenced: false,
    body: [
      ['refusedSeq', 'u8'],
      ['refusedType', 'u8'],
      ['reason', 'u8'],
      ['detail', 'u8'],
    ],
  },
  flushed: {
    type: 0x44,
    sequenced: false,
    body: [
      ['segmentsBegun', 'u16'],
      ['ticksLeft', 'u8'],
    ],
  },
} as const satisfies FrameTable;

type FieldValue<K> = K extends 'segments' ? Uint8Array : number;
type Fields<B extends FrameShape['body']> = { [F in B[number] as F[0]]: FieldValue<F[1]> };

/** A frame of a table: its name, the header's link and sequence number, and the fields of its body. */
export type FrameOf<T extends FrameTable> = {
  [N in keyof T & string]: { name: N; link: number; seq: number } & Fields<T[N]['body']>;
}[keyof T & string];

export type ToStand = FrameOf<typeof TO_STAND>;
export type ToHost = FrameOf<typeof TO_HOST>;
export type StatusFrame = Extract<ToHost, { name: 'status' }>;
export type OpenedFrame = Extract<ToHost, { name: 'opened' }>;
export type RefusedFrame = Extract<ToHost, { name: 'refused' }>;

/** A frame without what the header adds. */
export type Headless<F> = F extends { link: number; seq: number } ? Omit<F, 'link' | 'seq'> : never;
