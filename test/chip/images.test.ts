import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { IMAGES, readManifest, sha256, sourceFiles, sourceHash } from '../../firmware-host/controller/images';
import { pinHeader, readPins } from '../../firmware-host/controller/pin-table';
import { DeskHost, TYPE } from './desk-host';

const CONTROLLER = join(IMAGES, '..');

describe('the images kept here', () => {
  it('were built from the sources kept here (else: npm run build)', () => {
    expect(sourceFiles().length).toBeGreaterThan(25);
    expect(readManifest().sources).toBe(sourceHash());
  });

  it('are the files the manifest names', () => {
    const { images } = readManifest();
    expect(images.map(({ board }) => board)).toEqual(['virtual', 'reference', 'small']);
    for (const image of images) expect(sha256(readFileSync(join(IMAGES, image.file)))).toBe(image.sha256);
  });

  it('tell the hash of their sources when a link is opened', () => {
    const host = new DeskHost();
    host.open();
    const [a, b, c, d] = host.last(TYPE.opened).body.slice(10, 14) as [number, number, number, number];
    const hash = ((d << 24) | (c << 16) | (b << 8) | a) >>> 0;
    expect(hash.toString(16).padStart(8, '0')).toBe(readManifest().sources.slice(0, 8));
  });

  it('fit the chips: 32 KB of flash less a boot loader, 2 KB of RAM with room for the stack', () => {
    const small = readManifest().images.find(({ board }) => board === 'small')!;
    expect(small.flashBytes).toBeLessThan(30_000);
    expect(2048 - small.ramBytes).toBeGreaterThan(256);
  });
});

describe('the pin table', () => {
  it.each(readPins().map((board) => [board.board, board] as const))(
    'is what the header of the %s board says',
    (_name, board) => {
      const header = join(CONTROLLER, 'avr', `pins_${board.chip.toLowerCase()}.h`);
      expect(readFileSync(header, 'utf8')).toBe(pinHeader(board));
    },
  );

  it('refuses two signals on one pin and a torn bus', () => {
    const board = structuredClone(readPins()[0]!);
    board.pins.at(-1)!.port = board.pins[0]!.port;
    board.pins.at(-1)!.bit = board.pins[0]!.bit;
    expect(() => pinHeader(board)).toThrow(/share PA0/);
    const torn = structuredClone(readPins()[0]!);
    torn.pins[1]!.bit = 7;
    expect(() => pinHeader(torn)).toThrow(/step\.stroke must be bit 1 of port A/);
  });
});
