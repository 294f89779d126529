/** What else hangs on a stand and is watched or switched from the host; nothing that must stop the stand is among it. */
import {
  complain,
  count,
  type Field,
  type JsonSchema,
  plainNumber,
  quantity,
  type Spot,
  writtenText,
} from '../reading/fields';
import { group, may, must, named } from '../reading/groups';
import { parseQuantity } from '../units/quantity';
import type { Kind } from '../units/units';

/** What a spell of slurry is counted in. */
export type SpellUnit = 'strokes' | 'turns' | 'seconds';

export interface SlurryRule {
  /** A dose is due after so much of the walk, or so much time of running. */
  every: { count: number; unit: SpellUnit };
  /** Null: a person wets the glass, and the walk waits for them at the end of the turn. */
  pump: { pin: number; doseSeconds: number } | null;
}

export interface SensorRule {
  measures: 'temperature' | 'moisture' | 'flow';
  /** Firmata channel, counted from 0. */
  channel: number;
  /** What it means at 0 V and at the supply: degrees Celsius, or shares, or whatever the flow is counted in. */
  atZero: number;
  atFull: number;
  /** Outside of these the walk waits for a person; null: no bound. */
  least: number | null;
  most: number | null;
}

export interface Accessories {
  slurry: SlurryRule | null;
  /** Firmata pins of the lamps. */
  tower: { red: number; yellow: number; green: number } | null;
  buzzer: number | null;
  footSwitch: number | null;
  sensors: { name: string; rule: SensorRule }[];
}

const PIN = { least: 0, most: 127, why: 'Pins have the numbers of hardware-notes/PINS.md.' };
const CHANNEL = { least: 0, most: 15, why: 'Analog channels are counted from 0, see hardware-notes/PINS.md.' };
const pin = count(PIN);

const SPELLS: readonly (readonly [SpellUnit, Kind])[] = [
  ['turns', 'turns'],
  ['strokes', 'strokes'],
  ['seconds', 'duration'],
];

/** "40 strokes", "3 turns" or "10 min". */
const spell: Field<SlurryRule['every']> = {
  schema: { type: 'string', examples: ['40 strokes', '3 turns', '10 min'] } satisfies JsonSchema,
  read(spot) {
    const text = writtenText(spot.node) ?? '';
    // A bare number could be any of them.
    if (/[a-z]/i.test(text))
      for (const [unit, kind] of SPELLS) {
        const parsed = parseQuantity(text, kind);
        if (parsed.ok && parsed.value > 0 && parsed.value <= 1e6) return { count: parsed.value, unit };
      }
    return complain(
      spot,
      'How long a dose lasts is wanted: strokes, turns or a time, e.g. 40 strokes, 3 turns, 10 min.',
    );
  },
};

const slurryGroup = group('the slurry', {
  every: must(spell, 'how long one dose lasts: 40 strokes, 3 turns or 10 min'),
  pin: may(pin, 'pin of the pump; left out where a person wets the glass'),
  dose: may(
    quantity('duration', { above: 0, most: 120, why: 'A dose is seconds of pumping.' }, '2 s'),
    'how long the pump runs for one dose',
  ),
});

const slurry: Field<SlurryRule> = {
  schema: slurryGroup.schema,
  read(spot: Spot) {
    const read = slurryGroup.read(spot);
    if (read === undefined) return undefined;
    if ((read.pin === undefined) !== (read.dose === undefined))
      return complain(spot, 'A pump needs both its pin and a dose; by hand neither.');
    const pump = read.pin === undefined || read.dose === undefined ? null : { pin: read.pin, doseSeconds: read.dose };
    return { every: read.every, pump };
  },
};

const ANY = { least: -1e6, most: 1e6, why: 'Check the number.' };

function sensor(measures: SensorRule['measures'], value: Field<number>): Field<SensorRule> {
  const fields = group(`a sensor of ${measures}`, {
    channel: must(count(CHANNEL), 'analog channel, counted from 0'),
    atZero: must(value, 'what it means at 0 V'),
    atFull: must(value, 'what it means at the supply voltage'),
    least: may(value, 'below this the walk waits for a person'),
    most: may(value, 'above this the walk waits for a person'),
  });
  return {
    schema: fields.schema,
    read(spot) {
      const read = fields.read(spot);
      if (read === undefined) return undefined;
      const { channel, atZero, atFull, least = null, most = null } = read;
      if (atZero === atFull)
        return complain(spot, 'atZero and atFull are the same: every voltage would mean the same.');
      if (least !== null && most !== null && least >= most) return complain(spot, '"least" must be below "most".');
      return { measures, channel, atZero, atFull, least, most };
    },
  };
}

const thermometer = sensor('temperature', quantity('temperature', { ...ANY, most: 1000 }, '20 C'));
const share = sensor('moisture', quantity('share', ANY, '80 %'));
const flow = sensor('flow', plainNumber(ANY));

const fields = group('the accessories', {
  slurry: may(slurry, 'when the next dose is due, and the pump that gives it'),
  tower: may(
    group('the tower light', {
      red: must(pin, 'pin of the red lamp'),
      yellow: must(pin, 'pin of the yellow lamp'),
      green: must(pin, 'pin of the green lamp'),
    }),
    'pins of the lamps: green runs, yellow waits for a person, red stopped',
  ),
  buzzer: may(pin, 'pin of a buzzer: sounds when a person is needed'),
  footSwitch: may(pin, 'pin of a foot switch to ground: pauses'),
  thermometers: may(named('thermometers', thermometer), 'analog thermometers by name'),
  moisture: may(named('sensors of moisture', share), 'sensors of moisture by name'),
  flow: may(named('sensors of flow', flow), 'sensors of flow by name'),
});

export const accessoriesField: Field<Accessories> = {
  schema: fields.schema,
  read(spot) {
    const read = fields.read(spot);
    if (read === undefined) return undefined;
    const { slurry = null, tower = null, buzzer = null, footSwitch = null } = read;
    const sensors = [read.thermometers, read.moisture, read.flow].flatMap((kind) =>
      Object.entries(kind ?? {}).map(([name, rule]) => ({ name, rule })),
    );
    const pins = [slurry?.pump?.pin, tower?.red, tower?.yellow, tower?.green, buzzer, footSwitch].filter(
      (one) => one !== undefined && one !== null,
    );
    const twice = pins.find((one, i) => pins.indexOf(one) !== i);
    if (twice !== undefined) return complain(spot, `Pin ${twice} is given to two accessories.`);
    return { slurry, tower, buzzer, footSwitch, sensors };
  },
};
