/** JSON Schema of a stroke program, for editors: from the same descriptions the reader works with. */
import type { JsonSchema } from '../reading/fields';
import { group, must } from '../reading/groups';
import type { Shelf } from '../shelf/types';
import { alternateEntries, repeatEntries } from './fields';
import { programGroup } from './read-program';
import { stintGroup } from './stint';

const EMPTY_SHELF: Shelf = { glasses: {}, laps: {}, slurries: {} };
const NEVER = { not: {} };
const OBJECT = { type: 'object' };

/** A list of steps; `name` is one of the definitions below. */
function listOf(name: 'step' | 'pattern'): { read: () => undefined; schema: JsonSchema } {
  return { read: () => undefined, schema: { type: 'array', minItems: 1, items: { $ref: `#/$defs/${name}` } } };
}

/** One key of two that exclude each other. */
function only(wanted: string, other: string): JsonSchema {
  return { ...OBJECT, properties: { [wanted]: {}, [other]: NEVER }, required: [wanted] };
}

/**
 * Draft 2020-12. It knows keys, units, shapes and which keys go together; what a pattern means on the glass (edges,
 * whole alternations, turns altogether) only the reader can judge. Units are spelled here as documented, the reader
 * also takes capitals where they cannot be mistaken.
 */
export function programSchema(): object {
  const repeat = group('a repeat', { ...repeatEntries, do: must(listOf('step'), 'the list to work again and again') });
  const alternate = group('an alternation', {
    ...alternateEntries,
    do: must(listOf('pattern'), 'patterns in rotation'),
  });
  const straight = { ...OBJECT, properties: { stroke: { const: 'straight' }, width: NEVER, sense: NEVER } };
  const ellipse = { ...OBJECT, properties: { stroke: { const: 'ellipse' }, width: {} }, required: ['width'] };
  const counted = [only('turns', 'atLeast'), only('atLeast', 'turns')];
  const oneTurn = { ...OBJECT, properties: { turns: NEVER, atLeast: NEVER } };
  const groups = [{ $ref: '#/$defs/repeat' }, { $ref: '#/$defs/alternate' }];
  return {
    $schema: 'https://json-schema.org/draft/2020-12/schema',
    title: 'Stroke program',
    ...programGroup(EMPTY_SHELF, listOf('step')).schema,
    $defs: {
      stint: { allOf: [stintGroup.schema, { anyOf: [straight, ellipse] }] },
      step: { anyOf: [{ allOf: [{ $ref: '#/$defs/stint' }, { anyOf: counted }] }, ...groups] },
      pattern: { anyOf: [{ allOf: [{ $ref: '#/$defs/stint' }, { anyOf: [...counted, oneTurn] }] }, ...groups] },
      repeat: repeat.schema,
      alternate: alternate.schema,
    },
  };
}
