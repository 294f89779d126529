/** A measurement of our own to look at, with its glass written out where that is not on the shelf. */
import text from '../../planner/examples/measured/first.yaml?raw';
import type { Shelf } from '../../planner/shelf/types';

const GLASS =
  '{ title: "Demo glass, 300 mm f/5", diameter: 300 mm, bevel: 1 mm, clearAperture: 298 mm, radiusOfCurvature: 3000 mm, ' +
  'conicConstant: -1, material: borosilicate, thickness: 40 mm }';

export function exampleText(shelf: Shelf): string {
  return Object.hasOwn(shelf.glasses, 'glass-300') ? text : text.replace('glass: glass-300', `glass: ${GLASS}`);
}
