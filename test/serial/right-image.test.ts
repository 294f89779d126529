/** A stand whose file turns pins round is not walked with another image than the one built for it. */
import { expect, it } from 'vitest';
import { requireOwnImage, wrongImageWords } from '../../firmware-host/cli/right-image';
import { imageHash } from '../../firmware-host/controller/images';
import { standImage } from '../../firmware-host/controller/stand-image';
import { SerialLink } from '../../firmware-host/stand/serial/serial-link';
import type { StandIdentity } from '../../firmware-host/stand/stand-link';
import { demoStand } from '../support/programs';
import { OPEN } from '../support/rig';
import { PATH, SerialBench } from './bench';

const TURNED = { ...demoStand, board: 'reference', pins: { enable: 'high', 'direction.stroke': 'low' } } as const;

function lineOf({ simulation, ports }: SerialBench) {
  return { path: PATH, linkId: 100, clock: simulation.clock, ports };
}

it('the standard image on the board: what that means and what to do', async () => {
  const bench = new SerialBench();
  bench.connectStand();
  const words = await bench.settle(requireOwnImage(TURNED, lineOf(bench)).catch((error: Error) => error.message));
  expect(words).toContain('carries the standard image, not the one built for this stand');
  expect(words).toContain('turns direction.stroke, enable round');
  expect(words).toContain('the drives may be on when they should be off');
  expect(words).toContain('an axis goes the other way');
  expect(words).not.toContain('a step comes');
  expect(words).toContain('npm run build -- --stand FILE, and wholeturn flash --port PORT --stand FILE.');
  // The port is free again.
  expect(bench.opened.map((port) => port.isOpen)).toEqual([false]);
});

it('a stand without pins of its own is not even asked', async () => {
  const bench = new SerialBench();
  bench.connectStand();
  await requireOwnImage(demoStand, lineOf(bench));
  await requireOwnImage({ ...demoStand, board: 'reference', pins: { enable: 'low' } }, lineOf(bench));
  expect(bench.opened).toEqual([]);
});

it('only the very image built for the stand is right', () => {
  const image = standImage('small', { enable: 'high' });
  const told = (hash: number) => ({ board: 'small board (ATmega328P)', imageHash: hash }) as StandIdentity;
  expect(wrongImageWords(image, told(imageHash(image)))).toBeNull();
  expect(wrongImageWords(image, told(imageHash()))).toMatch(/^The small board .* carries the standard image/);
  expect(wrongImageWords(standImage('small', { index: 'open' }), told(imageHash()))).toMatch(
    /turns index round\. With it a mark is told everywhere but at its place/,
  );
  const other = imageHash(standImage('small', { 'step.stroke': 'low' }));
  expect(wrongImageWords(image, told(other))).toMatch(/carries an image that is not known here \([0-9a-f]{8}\)/);
});

it('asking leaves what the controller tells of the walk before, for whoever opens the same link next', async () => {
  const bench = new SerialBench();
  bench.connectStand();
  const walk = bench.link();
  await bench.settle(walk.open(OPEN));
  const heard = async (seconds: number): Promise<void> => {
    for (let at = 0; at < seconds; at += 0.1) {
      walk.alive();
      await bench.advance(0.1);
    }
  };
  walk.drives(true);
  await heard(0.5);
  walk.push(Uint8Array.from(Array.from({ length: 20 }, () => [200, 0, 0, 1, 0, 0, 0, 0]).flat()));
  walk.pace(1);
  await heard(1.5);
  await bench.settle(walk.close());

  const line = { ...lineOf(bench), linkId: 200 };
  await bench.settle(requireOwnImage(TURNED, line).catch(() => {}));
  const next = new SerialLink({ ...line, expected: null });
  const { found } = await bench.settle(next.open(OPEN));
  expect(found.link).toBe(100);
  expect(found.segmentsBegun).toBe(20);
  await bench.settle(next.close());
});
