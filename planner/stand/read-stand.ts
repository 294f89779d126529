/** Reads the description of a stand: its axes, what they can do, and how it stops. */
import type { Complaint } from '../program/types';
import { openDocument } from '../reading/document';
import { complain, type Field, formatOne, type JsonSchema, line, quantity, word, yesOrNo } from '../reading/fields';
import { group, may, must, type Parts, within } from '../reading/groups';
import type { Kind } from '../units/units';
import { accessoriesField } from './accessories';
import { BOARD_NAMES, type OwnPins, pinsField, readOwnPins } from './pins';
import type { Axis, Stand } from './types';

const TRAVEL = { least: -10_000, most: 10_000, why: 'That is longer than a room.' };

/** Above 0, and bounded so that steps, ticks and their products stay exact whole numbers further on. */
function positive<K extends Kind>(kind: K, most: number, example: string): Field<number> {
  return quantity(kind, { above: 0, most, why: 'Check the number and its unit.' }, example);
}

/** Where a stand's file does not say. */
const COUNTDOWN_SECONDS = 3;

/** A time that the controller is told at the start; beyond these limits it would refuse the link (its SPEC, `open`). */
function told(leastSeconds: number, mostSeconds: number, example: string): Field<number> {
  return quantity(
    'duration',
    { least: leastSeconds, most: mostSeconds, why: 'The controller takes no other.' },
    example,
  );
}

const reversed = may(yesOrNo, 'true where the motor turns the wrong way; saves changing its wires');
const slideEntries = {
  steps: must(positive('stepsPerMm', 1e5, '40 /mm'), 'steps in a length, e.g. 40 /mm; need not be whole'),
  maxSpeed: must(positive('slideSpeed', 1e4, '400 mm/s'), 'largest speed, e.g. 400 mm/s'),
  maxAcceleration: must(positive('slideAcceleration', 1e6, '3 m/s2'), 'largest acceleration, e.g. 3 m/s2'),
  from: must(quantity('length', TRAVEL, '-120 mm'), 'one end of the travel, e.g. -120 mm'),
  to: must(quantity('length', TRAVEL, '120 mm'), 'the other end of the travel, e.g. 120 mm'),
  reversed,
};
const spinEntries = {
  steps: must(positive('stepsPerTurn', 1e8, '9600 /turn'), 'steps in a turn, e.g. 9600 /turn; need not be whole'),
  maxSpeed: must(positive('spinSpeed', 100, '5 rpm'), 'largest speed, e.g. 5 rpm'),
  maxAcceleration: must(positive('spinAcceleration', 1e4, '0.6 turns/s2'), 'largest acceleration, e.g. 0.6 turns/s2'),
};
const slide = axis('a slide', slideEntries, 'mm');
const spin = axis('a turning axis', spinEntries, 'turn');

function axis<E extends typeof spinEntries>(what: string, entries: E, unit: 'mm' | 'turn'): Field<Axis> {
  const fields = group(what, entries);
  return {
    schema: fields.schema,
    read(spot) {
      const parts = fields.readParts(spot) as Parts<typeof slideEntries> | null;
      if (!parts?.complete) return undefined;
      const { steps, maxSpeed, maxAcceleration, from, to } = parts.complete;
      const moves: Axis = { unit, stepsPerUnit: steps, maxSpeed, maxAcceleration };
      if (parts.complete.reversed === true) moves.reversed = true;
      if (from === undefined) return moves;
      if (from < to) return { ...moves, min: from, max: to };
      return complain(
        parts.spots.to ?? spot,
        'The travel ends where it begins, or before: "to" must be larger than "from".',
      );
    },
  };
}

const axesGroup = group('the axes', {
  turntable: must(spin, 'the turntable'),
  stroke: must(slide, 'the stroke, along the tangent'),
  radial: must(slide, 'the radial slide, 0 at the axis of the turntable'),
  lapTurn: must(spin, 'what turns the lap about its own axis'),
});

const liftGroup = group('the lift', {
  travel: must(positive('duration', 60, '0.8 s'), 'how long it takes up or down, e.g. 0.8 s'),
  timeout: must(told(0.1, 60, '3 s'), 'after which time it counts as stuck, e.g. 3 s'),
});

const standGroup = group('a stand', {
  wholeturn: must(formatOne, 'the format of the file: 1'),
  name: must(line(), 'what people call it'),
  virtual: must(yesOrNo, 'true when no iron moves, false for a real stand'),
  commissioned: may(
    yesOrNo,
    'true from the first motion of its commissioning on (hardware-notes/COMMISSIONING.md), written by a person; a real run is refused before',
  ),
  board: may(word(BOARD_NAMES), 'board of the controller: reference (ATmega2560) or small (ATmega328P)'),
  pins: may(
    pinsField,
    'outputs that are on at the other level than the table of the board says; needs an image of its own',
  ),
  tick: must(positive('frequency', 1e6, '40 kHz'), 'path ticks of the controller, e.g. 40 kHz'),
  ramp: must(told(0.05, 1.5, '0.5 s'), 'time from full pace to rest, e.g. 0.5 s'),
  lift: must(liftGroup, 'the lift: travel and timeout'),
  indexTolerance: must(
    quantity('angle', { above: 0, most: 90, why: 'Beyond it the walk is eased.' }, '0.5 deg'),
    'how far the index may be from where it is expected, e.g. 0.5 deg',
  ),
  countdown: may(
    quantity(
      'duration',
      { least: 1, most: 30, why: 'Long enough to step back, short enough to be waited for.' },
      '3 s',
    ),
    'how long it warns, with a sound, before anything moves, e.g. 3 s',
  ),
  hostSilent: must(told(0.05, 60, '500 ms'), 'after how long a silence of the host the walk is eased, e.g. 500 ms'),
  axes: must(axesGroup, 'the axes: turntable, stroke, radial, lapTurn'),
  accessories: may(accessoriesField, 'pump, lamps, buzzer, foot switch and sensors on accessory pins'),
});

/** Undefined where the file gives none, or it complained. */
function ownPinsOf({ values, spots }: Parts<typeof standGroup.entries>): OwnPins | undefined {
  if (values.pins === undefined) return undefined;
  if (values.board !== undefined) return readOwnPins(values.pins, values.board);
  if (spots.board !== undefined) return undefined;
  return complain(values.pins, 'Which board has these pins? Write "board: reference" or "board: small" as well.');
}

/** Never throws; the stand is null when anything was complained about. */
export function readStand(text: string, file: string): { stand: Stand | null; complaints: Complaint[] } {
  const { complaints, root } = openDocument(text, file, 'a stand');
  const parts = root ? standGroup.readParts({ node: root, field: '', complaints }) : null;
  const pins = parts && ownPinsOf(parts);
  const read = parts?.complete;
  if (!read) return { stand: null, complaints: complaints.all() };
  // A motor's step is high for one tick and low for one: no axis can step more often than every second tick.
  const mostSteps = read.tick / 2;
  for (const [name, { stepsPerUnit, maxSpeed }] of Object.entries(read.axes)) {
    if (stepsPerUnit * maxSpeed <= mostSteps || !parts.spots.axes) continue;
    const steps = Math.round(stepsPerUnit * maxSpeed);
    const message = `${name} would take ${steps} steps a second; this controller gives at most ${mostSteps}.`;
    complain(within(parts.spots.axes, name), `${message} Lower maxSpeed or the steps.`);
  }
  if (read.lift.timeout <= read.lift.travel && parts.spots.lift) {
    complain(parts.spots.lift, 'The lift would count as stuck before it arrives: make timeout longer than travel.');
  }
  const { name, virtual, tick, ramp, axes, lift, indexTolerance, hostSilent, countdown } = read;
  const stand: Stand = {
    name,
    virtual,
    tickHz: tick,
    axes,
    rampSeconds: ramp,
    lift: { travelSeconds: lift.travel, timeoutSeconds: lift.timeout },
    indexToleranceDeg: indexTolerance,
    hostSilentMs: Math.round(hostSilent * 1000),
    countdownSeconds: countdown ?? COUNTDOWN_SECONDS,
    commissioned: read.commissioned ?? false,
  };
  if (read.board !== undefined) stand.board = read.board;
  if (pins) stand.pins = pins;
  if (read.accessories !== undefined) stand.accessories = read.accessories;
  return { stand: complaints.any ? null : stand, complaints: complaints.all() };
}

/** JSON Schema (2020-12) of a stand file, for editors. */
export function standSchema(): JsonSchema {
  return { $schema: 'https://json-schema.org/draft/2020-12/schema', title: 'Stand', ...standGroup.schema };
}
