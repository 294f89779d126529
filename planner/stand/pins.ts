/**
 * Which outputs of the controller a stand turns round: where an optocoupler or a drive wants the other level than the board's own table
 * (firmware-host/controller/pins.json) gives. It is built into the image, because ENABLE has to say "off" before any host has spoken.
 */

import { shown } from '../reading/complaints';
import { type Field, type JsonSchema, type Spot, word } from '../reading/fields';
import { keysOf } from '../reading/groups';
import { suggestion } from '../reading/nearest';
import { AXES } from './types';

export const BOARD_NAMES = ['reference', 'small'] as const;
export type BoardName = (typeof BOARD_NAMES)[number];

export const LEVELS = ['high', 'low'] as const;
export type Level = (typeof LEVELS)[number];

/** Level of an output when it is on, by the signal's name in the table; the others stay as they are there. */
export type PinLevels = Record<string, Level>;

const AS_WIRED = 'Wire it as hardware-notes/WIRING.md says.';
const STOPS = ['halt', 'guard', 'driveFault', 'strokeLow', 'strokeHigh', 'radialLow', 'radialHigh', 'limits'];
const MARKS = ['index', 'lapTurnReference', 'turntableReference'];
const eachOf = (signals: readonly string[], why: string) => Object.fromEntries(signals.map((one) => [one, why]));

/** Signals of a board that stay as they are, and why. */
export const NEVER_TURNED: Readonly<Record<string, string>> = {
  ...eachOf(STOPS, `an open wire would no longer stop the stand. ${AS_WIRED}`),
  ...eachOf(
    MARKS,
    'the controller takes it as closed at its mark and open elsewhere. Use a sensor that closes there, or a transistor behind it.',
  ),
  liftUp: `an open wire would say that the lap is up, while it presses on the glass. ${AS_WIRED}`,
  liftDown: `an open wire would say that the lap is down on the glass. ${AS_WIRED}`,
  freeOfGlass: `an open wire would say that the lap is free of the glass, while it sticks to it. ${AS_WIRED}`,
  lower:
    'a controller that has lost its supply draws its pins low, and the lap would come down on the glass by itself. ' +
    'Put a transistor or relay between that lowers on high.',
};

/** Signals of a board that a stand may turn round. */
export function turnable(board: BoardName): string[] {
  const axes = board === 'small' ? AXES.filter((axis) => axis !== 'spare') : AXES;
  return ['enable', ...axes.map((axis) => `step.${axis}`), ...axes.map((axis) => `direction.${axis}`)];
}

const level = word(LEVELS);

function meaning(signal: string): string {
  if (signal === 'enable') return 'level of ENABLE while the drives are on';
  const [what, axis] = signal.split('.');
  return what === 'step' ? `level of STEP of ${axis} during a step` : `level of DIR of ${axis} in the negative sense`;
}

/** Only says where it stands: which signals there are depends on the board, see `readPinLevels`. */
export const pinsField: Field<Spot> = {
  schema: {
    type: 'object',
    properties: Object.fromEntries(
      turnable('reference').map((signal): [string, JsonSchema] => [
        signal,
        { ...level.schema, description: meaning(signal) },
      ]),
    ),
    required: [],
    additionalProperties: false,
  },
  read: (spot) => spot,
};

/** Undefined means it complained. */
export function readPinLevels(spot: Spot, board: BoardName): PinLevels | undefined {
  const children = keysOf(spot, 'pins');
  if (!children) return undefined;
  const known = turnable(board);
  const read: PinLevels = {};
  let { wrong } = children;
  for (const [signal, child] of children.byKey) {
    const say = (message: string): void => {
      spot.complaints.add(child.keyOffset, child.spot.field, message);
      wrong = true;
    };
    const why = Object.hasOwn(NEVER_TURNED, signal) ? NEVER_TURNED[signal] : undefined;
    if (why !== undefined) say(`"${signal}" may not be turned round: ${why}`);
    else if (!known.includes(signal)) say(unknownSignal(signal, board, known));
    else {
      const value = level.read(child.spot);
      if (value === undefined) wrong = true;
      else read[signal] = value;
    }
  }
  return wrong ? undefined : read;
}

function unknownSignal(signal: string, board: BoardName, known: readonly string[]): string {
  const other = BOARD_NAMES.find((one) => turnable(one).includes(signal));
  const what = other === undefined ? 'is no output that can be turned round' : `is on the ${other} board only`;
  return `"${shown(signal)}" ${what}.${suggestion(signal, known)} The ${board} board has: ${known.join(', ')}.`;
}
