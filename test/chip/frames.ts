/**
 * A second, independent reading of SPEC 4 for the tests of the core: written from the page, sharing nothing with the host's codec.
 */
export function crc16(bytes: readonly number[]): number {
  let crc = 0xffff;
  for (const byte of bytes) {
    crc ^= byte << 8;
    for (let bit = 0; bit < 8; bit++) crc = crc & 0x8000 ? ((crc << 1) ^ 0x1021) & 0xffff : (crc << 1) & 0xffff;
  }
  return crc;
}

/** Bits least significant first, seven to a byte. */
export function pack(bytes: readonly number[]): number[] {
  const bits = bytes.flatMap((byte) => Array.from({ length: 8 }, (_, bit) => (byte >> bit) & 1));
  const wire: number[] = [];
  for (let at = 0; at < bits.length; at += 7) {
    wire.push(bits.slice(at, at + 7).reduce((sum, bit, place) => sum | (bit << place), 0));
  }
  return wire;
}

export function unpack(wire: readonly number[]): number[] {
  const bits = wire.flatMap((byte) => Array.from({ length: 7 }, (_, bit) => (byte >> bit) & 1));
  const bytes: number[] = [];
  for (let at = 0; at + 8 <= bits.length; at += 8) {
    bytes.push(bits.slice(at, at + 8).reduce((sum, bit, place) => sum | (bit << place), 0));
  }
  return bytes;
}

export const word = (value: number): number[] => [value & 0xff, (value >> 8) & 0xff];

/** A whole frame on the wire. */
export function frame(type: number, link: number, seq: number, body: readonly number[]): number[] {
  const decoded = [type, ...word(link), seq & 0xff, ...body];
  return [0xf0, 0x0c, ...pack([...decoded, ...word(crc16(decoded))]), 0xf7];
}

export interface Place {
  begun: number;
  left: number;
}

export interface Status {
  link: number;
  seq: number;
  free: number;
  accepted: number;
  place: Place;
  level: number;
  target: number;
  drives: boolean;
  open: boolean;
  silent: boolean;
  seeking: boolean;
  seekLatched: boolean;
  atRest: boolean;
  lost: boolean;
  ready: boolean;
  stop: number;
  lift: number;
  inputs: number;
  clock: number;
  droopTicks: number;
  underruns: number;
  indexCount: number;
  indexPlace: Place;
  seekPlace: Place;
  stopPlace: Place;
  counters: number[];
  bootId: number;
  rests: number;
}

export interface Frame {
  type: number;
  link: number;
  body: number[];
}

const u16 = (body: readonly number[], at: number): number => body[at]! | (body[at + 1]! << 8);
const u32 = (body: readonly number[], at: number): number => (u16(body, at) | (u16(body, at + 2) << 16)) >>> 0;
const placeAt = (body: readonly number[], at: number): Place => ({ begun: u16(body, at), left: body[at + 2]! });

export function status(frame: Frame): Status {
  const { body } = frame;
  if (body.length !== 46) throw new Error(`status of ${body.length} bytes`);
  const state = body[9]!;
  return {
    link: frame.link,
    seq: body[0]!,
    free: body[1]!,
    accepted: u16(body, 2),
    place: placeAt(body, 4),
    level: body[7]!,
    target: body[8]!,
    drives: (state & 1) !== 0,
    open: (state & 2) !== 0,
    silent: (state & 4) !== 0,
    seeking: (state & 8) !== 0,
    seekLatched: (state & 16) !== 0,
    atRest: (state & 32) !== 0,
    lost: (state & 64) !== 0,
    ready: (state & 128) !== 0,
    stop: body[10]!,
    lift: body[11]!,
    inputs: u16(body, 12),
    clock: u32(body, 14),
    droopTicks: u32(body, 18),
    underruns: u16(body, 22),
    indexCount: u16(body, 24),
    indexPlace: placeAt(body, 26),
    seekPlace: placeAt(body, 29),
    stopPlace: placeAt(body, 32),
    counters: body.slice(35, 43),
    bootId: u16(body, 43),
    rests: body[45]!,
  };
}

/** Splits what a controller sent into our frames (CRC checked) and everything else. */
export class Reader {
  frames: Frame[] = [];
  others: number[][] = [];
  private open: number[] | null = null;

  /** Another one that hears the same from here on. */
  copy(): Reader {
    const copy = new Reader();
    copy.frames = [...this.frames];
    copy.open = this.open && [...this.open];
    return copy;
  }

  take(bytes: ArrayLike<number>): void {
    for (let i = 0; i < bytes.length; i++) {
      const byte = bytes[i]!;
      if (byte === 0xf0) this.open = [];
      else if (byte === 0xf7 && this.open) {
        if (this.open[0] === 0x0c) this.frames.push(parse(this.open.slice(1)));
        else this.others.push(this.open);
        this.open = null;
      } else if (this.open) {
        if (byte >= 0x80) throw new Error(`byte ${byte} inside a sysex from the controller`);
        this.open.push(byte);
      } else this.others.push([byte]);
    }
  }
}

function parse(wire: number[]): Frame {
  const decoded = unpack(wire);
  const end = decoded.length - 2;
  if (crc16(decoded.slice(0, end)) !== u16(decoded, end)) throw new Error('CRC of a frame from the controller');
  return { type: decoded[0]!, link: u16(decoded, 1), body: decoded.slice(4, end) };
}
