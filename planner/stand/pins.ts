/**
 * Which pins of the controller a stand turns round: an output where an optocoupler or a drive wants the other level than the board's own
 * table (firmware-host/controller/pins.json) gives, and a mark whose sensor opens where it should close. It is built into the image,
 * because ENABLE has to say "off" before any host has spoken.
 */

import { isMap, isScalar, type Node } from 'yaml';
import { shown } from '../reading/complaints';
import { complain, type Field, type JsonSchema, type Spot, word } from '../reading/fields';
import { inside, keysOf } from '../reading/groups';
import { suggestion } from '../reading/nearest';
import { AXES } from './types';

export const BOARD_NAMES = ['reference', 'small'] as const;
export type BoardName = (typeof BOARD_NAMES)[number];

export const LEVELS = ['high', 'low'] as const;
export type Level = (typeof LEVELS)[number];

export const CONTACTS = ['open', 'closed'] as const;
export type ContactState = (typeof CONTACTS)[number];

/**
 * By the signal's name in the table: level of an output when it is on, state of a sensor's contact at its mark. The others stay as they
 * are there.
 */
export type OwnPins = Record<string, Level | ContactState>;

const AS_WIRED = 'Wire it as hardware-notes/WIRING.md says.';
const STOPS = ['halt', 'guard', 'driveFault', 'strokeLow', 'strokeHigh', 'radialLow', 'radialHigh', 'limits'];
const eachOf = (signals: readonly string[], why: string) => Object.fromEntries(signals.map((one) => [one, why]));

/** Signals of a board that stay as they are, and why. */
export const NEVER_TURNED: Readonly<Record<string, string>> = {
  ...eachOf(STOPS, `an open wire would no longer stop the stand. ${AS_WIRED}`),
  liftUp: `an open wire would say that the lap is up, while it presses on the glass. ${AS_WIRED}`,
  liftDown: `an open wire would say that the lap is down on the glass. ${AS_WIRED}`,
  freeOfGlass: `an open wire would say that the lap is free of the glass, while it sticks to it. ${AS_WIRED}`,
  lower:
    'a controller that has lost its supply draws its pins low, and the lap would come down on the glass by itself. ' +
    'Put a transistor or relay between that lowers on high.',
};

/** Where an open wire is found out by itself: the mark is then shown for ever, or never. */
const MARKS = ['index', 'lapTurnReference', 'turntableReference'];

/** Signals of a board that a stand may turn round. */
export function turnable(board: BoardName): string[] {
  const axes = board === 'small' ? AXES.filter((axis) => axis !== 'spare') : AXES;
  const marks = board === 'small' ? ['index'] : MARKS;
  return ['enable', ...axes.map((axis) => `step.${axis}`), ...axes.map((axis) => `direction.${axis}`), ...marks];
}

const fieldOf = (signal: string): Field<Level | ContactState> => word(MARKS.includes(signal) ? CONTACTS : LEVELS);

function meaning(signal: string): string {
  if (MARKS.includes(signal)) return `contact of the ${signal} sensor at its mark`;
  if (signal === 'enable') return 'level of ENABLE while the drives are on';
  const [what, axis] = signal.split('.');
  return what === 'step' ? `level of STEP of ${axis} during a step` : `level of DIR of ${axis} in the negative sense`;
}

/**
 * Complains of signals that no board has turned round, and otherwise only says where it stands: which signals there are depends on the
 * board, see `readOwnPins`.
 */
export const pinsField: Field<Spot> = {
  schema: {
    type: 'object',
    properties: Object.fromEntries(
      turnable('reference').map((signal): [string, JsonSchema] => [
        signal,
        { ...fieldOf(signal).schema, description: meaning(signal) },
      ]),
    ),
    required: [],
    additionalProperties: false,
  },
  read(spot) {
    for (const { key } of isMap(spot.node) ? spot.node.items : []) {
      const signal = isScalar(key) ? String(key.value) : '';
      if (neverTurned(signal))
        complain(
          { ...spot, node: key as Node, field: inside(spot.field, signal) },
          `"${signal}" may not be turned round: ${NEVER_TURNED[signal]}`,
        );
    }
    return spot;
  },
};

const neverTurned = (signal: string): boolean => Object.hasOwn(NEVER_TURNED, signal);

/** Of what `pinsField` has read. Undefined means that one of the two complained. */
export function readOwnPins(spot: Spot, board: BoardName): OwnPins | undefined {
  const children = keysOf(spot, 'pins');
  if (!children) return undefined;
  const known = turnable(board);
  const read: OwnPins = {};
  let { wrong } = children;
  for (const [signal, child] of children.byKey) {
    const say = (message: string): void => {
      spot.complaints.add(child.keyOffset, child.spot.field, message);
      wrong = true;
    };
    if (neverTurned(signal)) wrong = true;
    else if (!known.includes(signal)) say(unknownSignal(signal, board, known));
    else {
      const value = fieldOf(signal).read(child.spot);
      if (value === undefined) wrong = true;
      else read[signal] = value;
    }
  }
  return wrong ? undefined : read;
}

function unknownSignal(signal: string, board: BoardName, known: readonly string[]): string {
  const other = BOARD_NAMES.find((one) => turnable(one).includes(signal));
  const what = other === undefined ? 'is no pin that can be turned round' : `is on the ${other} board only`;
  return `"${shown(signal)}" ${what}.${suggestion(signal, known)} The ${board} board has: ${known.join(', ')}.`;
}
