import { expect, it } from 'vitest';
import { readManifest } from '../../firmware-host/controller/images';
import { expectAllAlike } from './alike';

// A second of each kind of life; test/ci runs more of them, `npm run proof` hundreds.
it.each(['reference', 'small'] as const)(
  'the %s board and the virtual one make the same steps at the same ticks',
  (board) => {
    const { ramBytes } = readManifest().images.find((image) => image.board === board)!;
    const { steps } = expectAllAlike(board, 3, 5, 30_000, ramBytes);
    expect(steps).toBeGreaterThan(1000);
  },
);
