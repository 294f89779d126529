/**
 * Frames to wire bytes and back (SPEC section 4): F0 0C, the packed type, link, sequence number, body and CRC, F7. Multi-byte
 * numbers are little-endian.
 */
import { SEGMENT_BYTES } from '../../planner/steps/segment';
import { crc16 } from './crc';
import { type FrameShape, type FrameTable, TO_HOST, TO_STAND, type ToHost, type ToStand } from './frame-table';
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
const WIDTH = { u8: 1, u16: 2, u32: 4 } as const;

/** Why a received frame was dropped. */
export type FrameFailure = 'crc' | 'length' | 'type';

interface Codec {
  readonly byName: ReadonlyMap<string, FrameShape>;
  readonly byType: readonly ({ name: string; shape: FrameShape } | undefined)[];
  readonly maxBytes: number;
}

function codecOf(table: FrameTable, maxBytes: number): Codec {
  const byType: { name: string; shape: FrameShape }[] = [];
  for (const [name, shape] of Object.entries(table)) byType[shape.type] = { name, shape };
  return { byName: new Map(Object.entries(table)), byType, maxBytes };
}

const STAND_CODEC = codecOf(TO_STAND, MAX_TO_STAND_BYTES);
const HOST_CODEC = codecOf(TO_HOST, MAX_TO_HOST_BYTES);

function bodyLength(shape: FrameShape): number {
  let length = 0;
  for (const [, kind] of shape.body) length += kind === 'segments' ? 0 : WIDTH[kind];
  return length;
}

function takesSegments(shape: FrameShape): boolean {
  return shape.body.some(([, kind]) => kind === 'segments');
}

function bodyFits(shape: FrameShape, length: number): boolean {
  const segmentBytes = length - bodyLength(shape);
  if (!takesSegments(shape)) return segmentBytes === 0;
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

function encode(codec: Codec, frame: ToStand | ToHost): Uint8Array {
  const shape = codec.byName.get(frame.name)!;
  const fields = frame as unknown as Record<string, number | Uint8Array>;
  let at = write(scratch, 0, 1, shape.type);
  at = write(scratch, at, 2, frame.link);
  at = write(scratch, at, 1, frame.seq);
  for (const [name, kind] of shape.body) {
    const value = fields[name]!;
    if (kind === 'segments') {
      const segments = value as Uint8Array;
      if (!bodyFits(shape, segments.length))
        throw new RangeError(`a frame takes 1 to 7 segments, not ${segments.length} bytes`);
      scratch.set(segments, at);
      at += segments.length;
    } else at = write(scratch, at, WIDTH[kind], value as number);
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
  const known = codec.byType[received[0]!];
  if (known === undefined) return 'type';
  if (!bodyFits(known.shape, bodyEnd - HEADER_BYTES)) return 'length';
  const fields: Record<string, number | string | Uint8Array> = {
    name: known.name,
    link: read(received, 1, 2),
    seq: received[3]!,
  };
  let at = HEADER_BYTES;
  for (const [name, kind] of known.shape.body) {
    if (kind === 'segments') {
      fields[name] = received.slice(at, bodyEnd);
      at = bodyEnd;
    } else {
      fields[name] = read(received, at, WIDTH[kind]);
      at += WIDTH[kind];
    }
  }
  return fields as unknown as ToStand | ToHost;
}

/** Whole sysex for a frame to the controller. Numbers are taken modulo their width; throws on a segments body of a wrong size. */
export function encodeToStand(frame: ToStand): Uint8Array {
  return encode(STAND_CODEC, frame);
}

/** Whole sysex for a frame to the host. */
export function encodeToHost(frame: ToHost): Uint8Array {
  return encode(HOST_CODEC, frame);
}

/** Decodes packed[0..packedBytes), the wire bytes between the sysex id and F7, of a frame to the controller. */
export function decodeToStand(packed: Uint8Array, packedBytes = packed.length): ToStand | FrameFailure {
  return decode(STAND_CODEC, packed, packedBytes) as ToStand | FrameFailure;
}

/** Decodes packed[0..packedBytes), the wire bytes between the sysex id and F7, of a frame to the host. */
export function decodeToHost(packed: Uint8Array, packedBytes = packed.length): ToHost | FrameFailure {
  return decode(HOST_CODEC, packed, packedBytes) as ToHost | FrameFailure;
}
