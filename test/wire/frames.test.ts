import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { crc16 } from '../../firmware-host/wire/crc';
import {
  decodeToHost,
  decodeToStand,
  encodeToHost,
  encodeToStand,
  MAX_TO_HOST_BYTES,
  MAX_TO_STAND_BYTES,
  sysexOf,
  wireOf,
} from '../../firmware-host/wire/frame';
import {
  type FrameShape,
  type FrameTable,
  TO_HOST,
  TO_STAND,
  type ToHost,
  type ToStand,
} from '../../firmware-host/wire/frame-table';
import { pack, packedLength, unpack } from '../../firmware-host/wire/packing';

const SEED = { seed: 20260611, numRuns: 2000 };
const LIMITS = { u8: 0xff, u16: 0xffff, u32: 0xffffffff } as const;

function anyFrameOf(table: FrameTable): fc.Arbitrary<Record<string, unknown>> {
  const shapes = Object.entries(table) as [string, FrameShape][];
  return fc.oneof(
    ...shapes.map(([name, shape]) =>
      fc.record({
        name: fc.constant(name),
        link: fc.integer({ min: 0, max: 0xffff }),
        seq: fc.integer({ min: 0, max: 0xff }),
        ...Object.fromEntries(
          shape.body.map(([field, kind]) => [
            field,
            kind === 'segments'
              ? fc.integer({ min: 1, max: 7 }).chain((n) => fc.uint8Array({ minLength: 8 * n, maxLength: 8 * n }))
              : fc.integer({ min: 0, max: LIMITS[kind] }),
          ]),
        ),
      }),
    ),
  );
}

const anyToStand = anyFrameOf(TO_STAND) as unknown as fc.Arbitrary<ToStand>;
const anyToHost = anyFrameOf(TO_HOST) as unknown as fc.Arbitrary<ToHost>;

/** Decoded bytes, CRC included, of a whole sysex. */
function decodedBytes(wire: Uint8Array): Uint8Array {
  const bytes = new Uint8Array(128);
  const length = unpack(wire.subarray(2, -1), wire.length - 3, bytes);
  return bytes.slice(0, length);
}

function packedPart(wire: Uint8Array): Uint8Array {
  return wire.subarray(2, -1);
}

describe('the CRC', () => {
  it('has the published check value of CRC-16/IBM-3740', () => {
    expect(crc16(new TextEncoder().encode('123456789'))).toBe(0x29b1);
  });
});

describe('packing eight bits into seven', () => {
  it('puts the lowest bits first', () => {
    const wire = new Uint8Array(3);
    expect(pack(Uint8Array.of(0x81, 0x02), 2, wire, 0)).toBe(3);
    expect([...wire]).toEqual([0x01, 0x05, 0x00]);
  });

  it('comes back whole, in seven-bit bytes, seven to eight', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 120 }), (bytes) => {
        const wire = new Uint8Array(packedLength(bytes.length));
        expect(pack(bytes, bytes.length, wire, 0)).toBe(wire.length);
        expect(wire.every((byte) => byte < 0x80)).toBe(true);
        const back = new Uint8Array(bytes.length);
        expect(unpack(wire, wire.length, back)).toBe(bytes.length);
        expect(back).toEqual(bytes);
      }),
      SEED,
    );
  });

  it('refuses what no packing makes: a wire byte too many, rest bits set', () => {
    const bytes = new Uint8Array(16);
    expect(unpack(new Uint8Array(9), 9, bytes)).toBe(-1);
    expect(unpack(Uint8Array.of(0, 0x02), 2, bytes)).toBe(-1);
    expect(unpack(Uint8Array.of(0, 0x01), 2, bytes)).toBe(1);
  });
});

describe('frames', () => {
  it('to the controller come back as they were and fit its buffer', () => {
    fc.assert(
      fc.property(anyToStand, (frame) => {
        const wire = encodeToStand(frame, frame.link, frame.seq);
        expect(wire[0]).toBe(0xf0);
        expect(wire[1]).toBe(0x0c);
        expect(wire.at(-1)).toBe(0xf7);
        expect(decodedBytes(wire).length).toBeLessThanOrEqual(MAX_TO_STAND_BYTES);
        expect(decodeToStand(packedPart(wire))).toEqual(frame);
      }),
      SEED,
    );
  });

  it('to the host come back as they were and fit its buffer', () => {
    fc.assert(
      fc.property(anyToHost, (frame) => {
        const wire = encodeToHost(frame, frame.link, frame.seq);
        expect(decodedBytes(wire).length).toBeLessThanOrEqual(MAX_TO_HOST_BYTES);
        expect(decodeToHost(packedPart(wire))).toEqual(frame);
      }),
      SEED,
    );
  });

  it('of seven segments take 74 bytes on the wire', () => {
    const wire = encodeToStand({ name: 'segments', segments: new Uint8Array(56) }, 1, 0);
    expect(wire.length).toBe(74);
  });

  it('lay their bytes out as the SPEC says', () => {
    const wire = encodeToStand({ name: 'seek', mask: 0x0102, levels: 0x0304, on: 1 }, 0x1234, 0x56);
    const bytes = decodedBytes(wire);
    expect([...bytes.subarray(0, 9)]).toEqual([0x14, 0x34, 0x12, 0x56, 0x02, 0x01, 0x04, 0x03, 0x01]);
    expect(bytes[9]! | (bytes[10]! << 8)).toBe(crc16(bytes, 9));
  });

  it('with one to three bits wrong are all refused', () => {
    fc.assert(
      fc.property(anyToStand, fc.array(fc.nat(), { minLength: 1, maxLength: 3 }), (frame, places) => {
        const bytes = decodedBytes(encodeToStand(frame, frame.link, frame.seq));
        const bits = new Set(places.map((place) => place % (bytes.length * 8)));
        for (const bit of bits) bytes[bit >> 3]! ^= 1 << (bit & 7);
        expect(decodeToStand(packedPart(sysexOf(bytes, bytes.length)))).toBe('crc');
      }),
      { ...SEED, numRuns: 10_000 },
    );
  });

  it('with a burst of up to 16 bits wrong are all refused', () => {
    // A burst is a run of bits in the order in which the CRC takes them: highest bit of each byte first.
    fc.assert(
      fc.property(anyToStand, fc.nat(), fc.integer({ min: 1, max: 0xffff }), (frame, place, burst) => {
        const bytes = decodedBytes(encodeToStand(frame, frame.link, frame.seq));
        const first = place % (bytes.length * 8 - 15);
        for (let i = 0; i < 16; i++) if ((burst >> i) & 1) bytes[(first + i) >> 3]! ^= 0x80 >> ((first + i) & 7);
        expect(decodeToStand(packedPart(sysexOf(bytes, bytes.length)))).toBe('crc');
      }),
      { ...SEED, numRuns: 10_000 },
    );
  });

  it('of an unknown type, a wrong length or too few bytes are refused by that name', () => {
    expect(decodeToStand(packedPart(wireOf(Uint8Array.of(0x7e, 1, 0, 0))))).toBe('type');
    expect(decodeToStand(packedPart(wireOf(Uint8Array.of(0x15, 1, 0, 0, 9))))).toBe('length');
    expect(decodeToStand(packedPart(wireOf(Uint8Array.of(0x10, 1, 0, 0, 20, 0, 0))))).toBe('length');
    expect(decodeToStand(packedPart(wireOf(Uint8Array.of(0x10, 1, 0, 0))))).toBe('length');
    expect(decodeToStand(packedPart(wireOf(Uint8Array.of(0x15, 1, 0))))).toBe('length');
    expect(decodeToStand(new Uint8Array(0))).toBe('length');
  });

  it('made of any bytes whatever never throw, and any that pass are ones a sender can make', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 120 }), (bytes) => {
        const packed = packedPart(wireOf(bytes));
        const frame = decodeToStand(packed);
        if (typeof frame !== 'string') expect(packedPart(encodeToStand(frame, frame.link, frame.seq))).toEqual(packed);
        const reply = decodeToHost(packed);
        if (typeof reply !== 'string') expect(packedPart(encodeToHost(reply, reply.link, reply.seq))).toEqual(packed);
        decodeToHost(bytes);
        decodeToStand(bytes);
      }),
      SEED,
    );
  });

  it('refuse a body that is not one to seven segments before it gets on the line', () => {
    expect(() => encodeToStand({ name: 'segments', segments: new Uint8Array(64) }, 1, 0)).toThrow(RangeError);
    expect(() => encodeToStand({ name: 'segments', segments: new Uint8Array(7) }, 1, 0)).toThrow(RangeError);
  });
});
