import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { buildImages } from '../../firmware-host/controller/build';
import { IMAGES, readManifest } from '../../firmware-host/controller/images';

it('the compilers named in the manifest make the very images kept here', () => {
  const folder = mkdtempSync(join(tmpdir(), 'wholeturn-images-'));
  try {
    const built = buildImages(folder);
    expect(built.compilers).toEqual(readManifest().compilers);
    for (const { file } of built.images) {
      expect(readFileSync(join(folder, file)).equals(readFileSync(join(IMAGES, file))), file).toBe(true);
    }
    expect(built).toEqual(readManifest());
  } finally {
    rmSync(folder, { recursive: true });
  }
});
