import { expect, it } from 'vitest';
import { readManifest } from '../../firmware-host/controller/images';
import { expectAllAlike } from '../chip/alike';

it.each(['reference', 'small'] as const)('twelve lives of the %s board are relived to the tick', (board) => {
  const { ramBytes } = readManifest().images.find((image) => image.board === board)!;
  const { steps } = expectAllAlike(board, 11, 22, 60_000, ramBytes);
  expect(steps).toBeGreaterThan(20_000);
});
