/** The image of a stand as far as no compiler is needed: its header, its hash, and which file is flashed. Compiled and run: test/ci/own-pins.test.ts. */
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { IMAGES, imageHash, type Manifest, readManifest, sha256 } from '../../firmware-host/controller/images';
import { pinHeader, readPins, withOwnPins } from '../../firmware-host/controller/pin-table';
import { imageFile, ownImageFolder, standImage } from '../../firmware-host/controller/stand-image';
import { turnable } from '../../planner/stand/pins';

const [reference, small] = readPins() as [ReturnType<typeof readPins>[0], ReturnType<typeof readPins>[0]];

/** Lines of the header that are not those of the board's own. */
function changed(table: typeof small, levels: Parameters<typeof withOwnPins>[1]): string[] {
  const before = pinHeader(table).split('\n');
  return pinHeader(withOwnPins(table, levels))
    .split('\n')
    .filter((line, i) => line !== before[i]);
}

describe('the header of a stand', () => {
  it.each([
    [{ enable: 'high' }, ['#define ENABLE_ON_LOW 0']],
    [{ 'step.stroke': 'low' }, ['#define STEP_INVERTED 0x8']],
    [
      { 'step.turntable': 'low', 'direction.lapTurn': 'low' },
      ['#define STEP_INVERTED 0x4', '#define DIRECTION_INVERTED 0x8'],
    ],
    [{ index: 'open' }, ['#define INDEX_OPEN 1']],
    [{ enable: 'low', 'step.stroke': 'high', index: 'closed' }, []],
  ] as const)('says %j of the small board and leaves the rest', (levels, lines) => {
    expect(changed(small, levels)).toEqual(lines);
  });

  it('counts the bits of the reference board from its own ports', () => {
    expect(changed(reference, { 'step.stroke': 'low', 'step.spare': 'low', 'direction.spare': 'low' })).toEqual([
      '#define STEP_INVERTED 0x12',
      '#define DIRECTION_INVERTED 0x10',
    ]);
  });

  it('leaves the table alone, and refuses what cannot be so', () => {
    withOwnPins(small, { enable: 'high' });
    expect(small).toEqual(readPins()[1]);
    expect(() => withOwnPins(small, { halt: 'low' })).toThrow('small: halt cannot be low');
    expect(() => withOwnPins(small, { index: 'low' })).toThrow('small: index cannot be low');
    expect(() => withOwnPins(small, { enable: 'open' })).toThrow('small: enable cannot be open');
    expect(() => withOwnPins(small, { 'step.spare': 'low' })).toThrow('small: step.spare cannot be low');
  });
});

const otherThanUsual = (signal: string): 'high' | 'low' | 'open' =>
  signal === 'enable' ? 'high' : /\./.test(signal) ? 'low' : 'open';

describe('the image of a stand', () => {
  it('is the standard one where no pin is turned round', () => {
    for (const levels of [undefined, {}, { enable: 'low', 'step.stroke': 'high' }] as const) {
      const image = standImage('small', levels);
      expect(image).toMatchObject({ own: false, turned: [] });
      expect(imageHash(image)).toBe(imageHash());
      expect(imageFile(image, 'stand.yaml')).toBe(join(IMAGES, 'atmega328p.hex'));
    }
  });

  it('has another hash for every pin that is turned round, on either board', () => {
    const hashes = new Set([imageHash()]);
    let count = 1;
    for (const board of ['reference', 'small'] as const)
      for (const signal of turnable(board)) {
        const image = standImage(board, { [signal]: otherThanUsual(signal) });
        expect(image).toMatchObject({ own: true, turned: [signal] });
        hashes.add(imageHash(image));
        count++;
      }
    expect(hashes.size).toBe(count);
  });
});

describe('the file that is flashed', () => {
  let home: string;
  let file: string;
  const image = standImage('small', { enable: 'high' });
  const hex = ':00000001FF\n';
  beforeEach(() => {
    home = mkdtempSync(join(tmpdir(), 'wholeturn-stand-image-'));
    file = join(home, 'mine.yaml');
  });
  afterEach(() => rmSync(home, { recursive: true }));

  function put(change: (manifest: Manifest) => void): void {
    const folder = ownImageFolder(file);
    mkdirSync(folder);
    const entry = {
      file: 'atmega328p.hex',
      board: 'small',
      sha256: sha256(Buffer.from(hex)),
      flashBytes: 1,
      ramBytes: 1,
    };
    const manifest = { ...readManifest(), sources: image.sources, images: [entry] };
    change(manifest);
    writeFileSync(join(folder, 'manifest.json'), JSON.stringify(manifest));
    writeFileSync(join(folder, 'atmega328p.hex'), hex);
  }

  it('lies in a folder beside the stand file', () => {
    put(() => {});
    expect(imageFile(image, file)).toBe(join(home, 'mine-image', 'atmega328p.hex'));
  });

  it.each([
    ['not built yet', null, /is not there yet .*Build it: npm run build -- --stand .*mine\.yaml/],
    [
      'other pins, or another version',
      (one: Manifest) => {
        one.sources = standImage('small', { 'step.stroke': 'low' }).sources;
      },
      /built for other pins.*Build it/,
    ],
    [
      'damaged',
      (one: Manifest) => {
        one.images[0]!.sha256 = '0';
      },
      /not the image its manifest speaks of; do not flash/,
    ],
  ] as const)('%s: in words, what to do', (_, change, words) => {
    if (change !== null) put(change);
    expect(() => imageFile(image, file)).toThrow(words);
  });

  it('a manifest that cannot be read: in words too', () => {
    put(() => {});
    writeFileSync(join(ownImageFolder(file), 'manifest.json'), '{');
    expect(() => imageFile(image, file)).toThrow(/cannot be used .*Build it/);
  });
});
