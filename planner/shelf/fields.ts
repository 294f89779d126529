/**
 * What a glass, a lap and a slurry look like in a file. The same fields serve the shelf and what is written out in a
 * program.
 */
import { complain, count, type Field, line, plainNumber, quantity, word } from '../reading/fields';
import { group, may, must, type ValuesOf } from '../reading/groups';
import type { Glass, Lap, LapOutline, Slurry } from './types';

const SIZE = { above: 0, most: 20_000, why: 'Everything on this stand is worked in mm.' };
const NOT_NEGATIVE = { least: 0, most: 20_000, why: 'Write 0 if there is none.' };

const glassEntries = {
  title: must(line(), 'what people call it'),
  diameter: must(quantity('length', SIZE, '300 mm'), 'diameter of the glass, e.g. 300 mm'),
  clearAperture: may(
    quantity('length', SIZE, '296 mm'),
    'diameter of the part that is used; all inside the bevel unless given',
  ),
  bevel: may(quantity('length', NOT_NEGATIVE, '1 mm'), 'width of the bevel; none unless given'),
  hole: may(quantity('length', NOT_NEGATIVE, '60 mm'), 'diameter of a hole in the middle; none unless given'),
  radiusOfCurvature: must(
    quantity('length', { above: 0, most: 1e6, why: 'Only concave glasses can be planned.' }, '3000 mm'),
    'radius of curvature at the vertex of the wanted figure, e.g. 3000 mm',
  ),
  conicConstant: must(
    plainNumber({ least: -20, most: 20, why: '-1 is a paraboloid, 0 a sphere.' }),
    'conic constant of the wanted figure: -1 for a paraboloid, 0 for a sphere',
  ),
  material: must(line(), 'what it is made of, e.g. borosilicate'),
  thickness: must(quantity('length', SIZE, '40 mm'), 'thickness at the edge, e.g. 40 mm'),
};
const glassGroup = group('a glass', glassEntries);

export const glassField: Field<Omit<Glass, 'id'>> = {
  schema: glassGroup.schema,
  read(spot) {
    const parts = glassGroup.readParts(spot);
    if (!parts?.complete) return undefined;
    const { complete, spots } = parts;
    const bevelMm = complete.bevel ?? 0;
    const faceMm = complete.diameter - 2 * bevelMm;
    const clearApertureMm = complete.clearAperture ?? faceMm;
    const holeMm = complete.hole ?? 0;
    if (faceMm <= 0) return complain(spots.bevel ?? spot, 'The bevel leaves nothing of the face.');
    if (clearApertureMm > faceMm) {
      return complain(
        spots.clearAperture ?? spot,
        `The clear aperture is wider than the face inside the bevel (${faceMm} mm).`,
      );
    }
    if (holeMm >= clearApertureMm)
      return complain(spots.hole ?? spot, 'The hole leaves nothing of the clear aperture.');
    const steepness = (1 + complete.conicConstant) * (complete.diameter / 2 / complete.radiusOfCurvature) ** 2;
    if (steepness >= 1) {
      const message =
        'A figure with this radius of curvature and conic constant ends before the rim of the glass. Check both.';
      return complain(spots.radiusOfCurvature ?? spot, message);
    }
    return {
      title: complete.title,
      diameterMm: complete.diameter,
      clearApertureMm,
      bevelMm,
      holeMm,
      radiusOfCurvatureMm: complete.radiusOfCurvature,
      conicConstant: complete.conicConstant,
      material: complete.material,
      thicknessMm: complete.thickness,
    };
  },
};

const OFFSET = { least: -1000, most: 1000, why: 'It is measured from the middle of the lap.' };
const facetsGroup = group('facets', {
  pitch: must(quantity('length', SIZE, '12 mm'), 'from one facet to the next, e.g. 12 mm'),
  channel: must(quantity('length', NOT_NEGATIVE, '2 mm'), 'width of the channels between them, e.g. 2 mm'),
  offsetX: may(quantity('length', OFFSET, '3 mm'), 'how far the pattern is set off from the middle of the lap'),
  offsetY: may(quantity('length', OFFSET, '2 mm'), 'how far the pattern is set off, across'),
});

const LOAD = { least: 0, most: 5000, why: 'Weights press down; write 0 if there is none.' };
export const addedLoad = quantity('force', LOAD, '5 N');
const loadGroup = group('the load', {
  added: must(addedLoad, 'what is put on the lap, e.g. 5 N'),
  lapWeight: must(quantity('force', LOAD, '4 N'), 'what the lap itself weighs, e.g. 4 N'),
  armWeight: must(quantity('force', LOAD, '3 N'), 'what of the arm rests on the lap, e.g. 3 N'),
});

const lapEntries = {
  title: must(line(), 'what people call it'),
  outline: must(word(['round', 'star'] as const), 'round or star'),
  diameter: must(quantity('length', SIZE, '80 mm'), 'diameter over everything, e.g. 80 mm'),
  points: may(count({ least: 3, most: 48, why: 'A star has whole points.' }), 'how many points a star has'),
  depth: may(quantity('length', SIZE, '12 mm'), 'how far a star is cut back between its points'),
  facets: may(facetsGroup, 'square facets cut into the pitch; a plain face unless given'),
  load: must(loadGroup, 'everything that presses: added, lapWeight, armWeight'),
  pivotHeight: must(quantity('length', NOT_NEGATIVE, '12 mm'), 'height above the glass at which the lap is pushed'),
  friction: must(
    plainNumber({ least: 0, most: 2, why: 'Pitch and wet slurry on glass are commonly taken between 0.1 and 0.6.' }),
    'sliding friction of pitch and slurry on glass, a plain number',
  ),
  rotation: must(word(['driven', 'free'] as const), 'driven (held and turned by the stand) or free'),
};
const lapGroup = group('a lap', lapEntries);

export const lapField: Field<Omit<Lap, 'id'>> = {
  schema: lapGroup.schema,
  read(spot) {
    const parts = lapGroup.readParts(spot);
    if (!parts?.complete) return undefined;
    const { complete, spots } = parts;
    const outline = outlineOf(complete);
    if (typeof outline === 'string') return complain(spots.points ?? spots.depth ?? spots.outline ?? spot, outline);
    const { added, lapWeight, armWeight } = complete.load;
    if (added + lapWeight + armWeight <= 0)
      return complain(spots.load ?? spot, 'Nothing presses this lap: it would take nothing off.');
    const { facets } = complete;
    if (facets && facets.channel >= facets.pitch) {
      return complain(spots.facets ?? spot, 'The channels are as wide as the facets are apart: no pitch is left.');
    }
    return {
      title: complete.title,
      outline,
      facets: facets
        ? {
            pitchMm: facets.pitch,
            channelMm: facets.channel,
            offsetXMm: facets.offsetX ?? 0,
            offsetYMm: facets.offsetY ?? 0,
          }
        : null,
      load: { addedN: added, lapWeightN: lapWeight, armWeightN: armWeight },
      pivotHeightMm: complete.pivotHeight,
      friction: complete.friction,
      rotation: complete.rotation,
    };
  },
};

function outlineOf({ outline, diameter, points, depth }: ValuesOf<typeof lapEntries>): LapOutline | string {
  if (outline === 'round') {
    return points === undefined && depth === undefined
      ? { shape: 'round', diameterMm: diameter }
      : 'Points and depth belong to a star; a round lap has neither.';
  }
  if (points === undefined || depth === undefined) return 'A star needs both points and depth.';
  if (depth >= diameter / 2) return 'A star cut back to its middle has nothing left to polish with.';
  return { shape: 'star', diameterMm: diameter, points, depthMm: depth };
}

const slurryGroup = group('a slurry', {
  title: must(line(), 'what people call it'),
  wet: must(
    quantity(
      'duration',
      { above: 0, most: 24 * 3600, why: 'After that time the slurry is to be charged again.' },
      '8 min',
    ),
    'how long one charge stays wet, e.g. 8 min',
  ),
});

export const slurryField: Field<Omit<Slurry, 'id'>> = {
  schema: slurryGroup.schema,
  read(spot) {
    const read = slurryGroup.read(spot);
    return read && { title: read.title, wetMinutes: read.wet / 60 };
  },
};
