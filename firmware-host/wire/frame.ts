/**
 * Frames to wire bytes and back (SPEC section 4): F0 0C, the packed type, link, sequence number, body and CRC, F7. Multi-byte
 * numbers are little-endian.
 */
import { SEGMENT_BYTES } from '../../planner/steps/segment';
import { crc16 } from './crc';
import {
  type FrameShape,
  type FrameTable,
  type Headless,
  TO_HOST,
  TO_STAND,
  type ToHost,
  type ToStand,
} from './frame-table';
import { pack, packedLength, unpack } from './packing';

export const SYSEX_START = 0xf0;
export const SYSEX_END = 0xf7;
/** The one user sysex of the controller, out of 0x01..0x0F which Firmata leaves to users. */
export const SYSEX_ID = 0x0c;
export const SEGMENTS_PER_FRAME = 7;
/** Decoded bytes at most, either way. */
export const MAX_TO_STAND_BYTES = 62;
export const MAX_TO_HOST_BYTES = 80;

const HEADER_BYTES = 4;
const CRC_BYTES = 2;
const WIDTH = { u8: 1, u16: 2, u32: 4, segments: 0 } as const;

/** Why a received frame was dropped. */
export type FrameFailure = 'crc' | 'length' | 'type';

/** A frame's shape made ready for quick work: reports are the hottest path of a simulation. */
interface Plan {
  readonly name: string;
  readonly type: number;
  readonly fields: readonly string[];
  /** Bytes of each field; 0 for segments, which take the rest of the body. */
  readonly widths: readonly number[];
  readonly fixedBytes: number;
  readonly takesSegments: boolean;
  /** An object with all fields in place. A copy of one that came out of JSON.parse is filled four times as fast as an object is grown. */
  readonly blank: Readonly<Record<string, number | string | Uint8Array>>;
}

interface Codec {
  readonly byName: ReadonlyMap<string, Plan>;
  readonly byType: readonly (Plan | undefined)[];
  readonly maxBytes: number;
}

function planOf(name: string, shape: FrameShape): Plan {
  const fields = shape.body.map(([field]) => field);
  const widths = shape.body.map(([, kind]) => WIDTH[kind]);
  const blank = { name, link: 0, seq: 0, ...Object.fromEntries(fields.map((field) => [field, 0])) };
  return {
    name,
    type: shape.type,
    fields,
    widths,
    fixedBytes: widths.reduce<number>((sum, width) => sum + width, 0),
    takesSegments: widths.includes(0),
    blank: JSON.parse(JSON.stringify(blank)) as Plan['blank'],
  };
}

function codecOf(table: FrameTable, maxBytes: number): Codec {
  const plans = Object.entries(table).map(([name, shape]) => planOf(name, shape));
  const byType: Plan[] = [];
  for (const plan of plans) byType[plan.type] = plan;
  return { byName: new Map(plans.map((plan) => [plan.name, plan])), byType, maxBytes };
}

const STAND_CODEC = codecOf(TO_STAND, MAX_TO_STAND_BYTES);
const HOST_CODEC = codecOf(TO_HOST, MAX_TO_HOST_BYTES);

function bodyFits(plan: Plan, length: number): boolean {
  const segmentBytes = length - plan.fixedBytes;
  if (!plan.takesSegments) return segmentBytes === 0;
  return segmentBytes > 0 && segmentBytes % SEGMENT_BYTES === 0 && segmentBytes <= SEGMENTS_PER_FRAME * SEGMENT_BYTES;
}

function write(bytes: Uint8Array, at: number, width: number, value: number): number {
  for (let i = 0; i < width; i++) bytes[at + i] = (value >>> (8 * i)) & 0xff;
  return at + width;
}

function read(bytes: Uint8Array, at: number, width: number): number {
  let value = bytes[at]!;
  if (width > 1) value |= bytes[at + 1]! << 8;
  if (width > 2) value = (value | (bytes[at + 2]! << 16) | (bytes[at + 3]! << 24)) >>> 0;
  return value;
}

/** The sysex for any decoded bytes, right or wrong: the CRC is put behind `bytes` as they are. */
export function wireOf(bytes: Uint8Array): Uint8Array {
  const decoded = new Uint8Array(bytes.length + CRC_BYTES);
  decoded.set(bytes);
  write(decoded, bytes.length, CRC_BYTES, crc16(bytes));
  return sysexOf(decoded, decoded.length);
}

/** The sysex around decoded bytes whose CRC is already in place. */
export function sysexOf(decoded: Uint8Array, length: number): Uint8Array {
  const wire = new Uint8Array(packedLength(length) + 3);
  wire[0] = SYSEX_START;
  wire[1] = SYSEX_ID;
  wire[pack(decoded, length, wire, 2)] = SYSEX_END;
  return wire;
}

const scratch = new Uint8Array(128);

function encode(codec: Codec, frame: { name: string }, link: number, seq: number): Uint8Array {
  const plan = codec.byName.get(frame.name)!;
  const values = frame as unknown as Record<string, number | Uint8Array>;
  let at = write(scratch, 0, 1, plan.type);
  at = write(scratch, at, 2, link);
  at = write(scratch, at, 1, seq);
  for (let i = 0; i < plan.fields.length; i++) {
    const value = values[plan.fields[i]!]!;
    if (typeof value === 'number') at = write(scratch, at, plan.widths[i]!, value);
    else {
      if (!bodyFits(plan, value.length))
        throw new RangeError(`a frame takes 1 to 7 segments, not ${value.length} bytes`);
      scratch.set(value, at);
      at += value.length;
    }
  }
  at = write(scratch, at, CRC_BYTES, crc16(scratch, at));
  return sysexOf(scratch, at);
}

const received = new Uint8Array(256);

function decode(codec: Codec, packed: Uint8Array, packedBytes: number): ToStand | ToHost | FrameFailure {
  if (packedBytes > packedLength(codec.maxBytes)) return 'length';
  const length = unpack(packed, packedBytes, received);
  if (length < HEADER_BYTES + CRC_BYTES) return 'length';
  const bodyEnd = length - CRC_BYTES;
  if (crc16(received, bodyEnd) !== read(received, bodyEnd, CRC_BYTES)) return 'crc';
  const plan = codec.byType[received[0]!];
  if (plan === undefined) return 'type';
  if (!bodyFits(plan, bodyEnd - HEADER_BYTES)) return 'length';
  const frame = { ...plan.blank };
  frame.link = read(received, 1, 2);
  frame.seq = received[3]!;
  let at = HEADER_BYTES;
  for (let i = 0; i < plan.fields.length; i++) {
    const width = plan.widths[i]!;
    frame[plan.fields[i]!] = width > 0 ? read(received, at, width) : received.slice(at, bodyEnd);
    at += width;
  }
  return frame as unknown as ToStand | ToHost;
}

/** Whole sysex for a frame to the controller. Numbers are taken modulo their width; throws on a segments body of a wrong size. */
export function encodeToStand(frame: Headless<ToStand>, link: number, seq: number): Uint8Array {
  return encode(STAND_CODEC, frame, link, seq);
}

/** Whole sysex for a frame to the host. */
export function encodeToHost(frame: Headless<ToHost>, link: number, seq: number): Uint8Array {
  return encode(HOST_CODEC, frame, link, seq);
}

/** Decodes packed[0..packedBytes), the wire bytes between the sysex id and F7, of a frame to the controller. */
export function decodeToStand(packed: Uint8Array, packedBytes = packed.length): ToStand | FrameFailure {
  return decode(STAND_CODEC, packed, packedBytes) as ToStand | FrameFailure;
}

/** Decodes packed[0..packedBytes), the wire bytes between the sysex id and F7, of a frame to the host. */
export function decodeToHost(packed: Uint8Array, packedBytes = packed.length): ToHost | FrameFailure {
  return decode(HOST_CODEC, packed, packedBytes) as ToHost | FrameFailure;
}
