import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { z } from 'zod';
import { reachOf } from '../../planner/program/reach';
import { readProgram } from '../../planner/program/read-program';
import { programSchema } from '../../planner/program/schema';
import type { Program, Stint } from '../../planner/program/types';
import { shelfSchema } from '../../planner/shelf/read-shelf';
import { readStand, standSchema } from '../../planner/stand/read-stand';
import { demoShelf, EXAMPLES, exampleText, programText, STRAIGHT } from './reading';

const NOT_PROGRAMS = ['shelf.yaml', 'stand.yaml'];
const FILES = readdirSync(EXAMPLES).filter((name) => name.endsWith('.yaml') && !NOT_PROGRAMS.includes(name));
const STAND = readStand(exampleText('stand.yaml'), 'stand.yaml').stand!;

function program(file: string): Program {
  const read = readProgram(exampleText(file), file, demoShelf());
  if (!read.program) throw new Error(JSON.stringify(read.complaints, null, 2));
  return read.program;
}

const turnsOf = ({ stints }: Program) => stints.reduce((sum, { turns }) => sum + turns, 0);
const minutesOf = (each: Program) => turnsOf(each) / each.turntableRpm;

describe.each(FILES)('the example %s', (file) => {
  it('reads without complaint, and its comment begins with plain words', () => {
    expect(program(file).stints.length).toBeGreaterThan(0);
    expect(exampleText(file)).toMatch(/^# [A-Z]/);
  });

  it('stays within the demo stand: travel, speeds and accelerations with the share of a ramp', () => {
    const { stroke, radial, turntable, lapTurn } = STAND.axes;
    const each = program(file);
    expect(each.turntableRpm / 60).toBeLessThanOrEqual(turntable.maxSpeed);
    for (const stint of each.stints) {
      const fastest = ((2 * Math.PI * stint.strokesPerMinute) / 60) * (1 + stint.rateTolerance);
      // On a ramp the pace itself changes by up to about 4 per second (0.5 s, smooth), which adds speed times that.
      const peak = (amplitude: number) => ({
        speed: amplitude * fastest,
        acceleration: amplitude * (fastest ** 2 + 4 * fastest),
      });
      const along = peak(stint.lengthMm / 2);
      expect(stint.lengthMm / 2).toBeLessThanOrEqual(stroke.max!);
      expect(along.speed).toBeLessThanOrEqual(stroke.maxSpeed);
      expect(along.acceleration).toBeLessThanOrEqual(stroke.maxAcceleration);
      const across = radialPeak(stint, fastest);
      expect(across.speed).toBeLessThanOrEqual(radial.maxSpeed);
      expect(across.acceleration).toBeLessThanOrEqual(radial.maxAcceleration);
      const { lowestMm, farthestMm } = reachOf({ ...stint, nudgeMm: stint.nudge?.byMm ?? 0 });
      expect(lowestMm).toBeGreaterThanOrEqual(radial.min!);
      expect(farthestMm).toBeLessThanOrEqual(radial.max!);
      if (stint.clocking.kind === 'steps') {
        // The quintic smooth step: 1.875 of the mean speed and 5.77 of angle over time squared at most.
        const seconds = (stint.clocking.share * 60) / stint.strokesPerMinute;
        const turns = Math.abs(stint.clocking.askedDeg) / 360;
        const speed = (1.875 * turns) / seconds;
        expect(speed).toBeLessThanOrEqual(lapTurn.maxSpeed);
        expect((5.77 * turns) / seconds ** 2 + 4 * speed).toBeLessThanOrEqual(lapTurn.maxAcceleration);
      }
    }
  });

  it('gives the gearing room for more than 8 azimuths: K / gcd(K, N) over all turns of a place in the file', () => {
    const each = program(file);
    const groups = new Set(each.stints.map(({ group }) => group));
    for (const group of groups) {
      const stints = each.stints.filter((stint) => stint.group === group);
      expect(bestAzimuths(stints, each.turntableRpm)).toBeGreaterThan(8);
    }
  });
});

/** y = s + (W/2) sin psi - d sin^4(psi/2), differentiated by hand; sampled over one nudged stroke. */
function radialPeak({ widthMm, nudge }: Stint, omega: number): { speed: number; acceleration: number } {
  const d = nudge?.byMm ?? 0;
  const peak = { speed: 0, acceleration: 0 };
  for (let psi = 0; psi < 2 * Math.PI; psi += 0.01) {
    const slope = (widthMm / 2) * Math.cos(psi) - (d / 2) * (Math.sin(psi) - Math.sin(2 * psi) / 2);
    const bend = -(widthMm / 2) * Math.sin(psi) - (d / 2) * (Math.cos(psi) - Math.cos(2 * psi));
    peak.speed = Math.max(peak.speed, Math.abs(slope) * omega);
    peak.acceleration = Math.max(peak.acceleration, Math.abs(bend) * omega ** 2 + 4 * Math.abs(slope) * omega);
  }
  return peak;
}

/**
 * By number theory alone (Evans & Kestner 1996, indexing theorem), over all whole stroke counts near the wanted rate.
 */
function bestAzimuths(stints: Stint[], turntableRpm: number): number {
  const [first] = stints as [Stint];
  const every = first.clocking.kind === 'steps' ? first.clocking.everyStrokes : 1;
  const period = lcm(first.nudge?.everyStrokes ?? 1, every);
  const turns = first.turns * stints.length;
  const wanted = (turns * first.strokesPerMinute) / turntableRpm;
  let best = 0;
  for (let periods = 1; periods * period <= wanted * (1 + first.rateTolerance); periods++) {
    if (periods * period < wanted * (1 - first.rateTolerance) || (periods * period) % stints.length !== 0) continue;
    best = Math.max(best, periods / gcd(periods, turns));
  }
  return best;
}

function gcd(a: number, b: number): number {
  return b === 0 ? a : gcd(b, a % b);
}

function lcm(a: number, b: number): number {
  return (a * b) / gcd(a, b);
}

describe('the examples together', () => {
  it('hold what the page about them promises: turns, minutes, and no file forgotten', () => {
    const page = readFileSync(join(EXAMPLES, 'README.md'), 'utf8');
    const rows = [...page.matchAll(/^\| \[([\w-]+\.yaml)\].*\| (\d+) +\| ([\d.]+)[^|]*\|$/gm)];
    expect(rows.map(([, file]) => file).sort()).toEqual([...FILES].sort());
    for (const [, file, turns, minutes] of rows) {
      const each = program(file!);
      expect(turnsOf(each)).toBe(Number(turns));
      expect(Math.abs(minutesOf(each) - Number(minutes))).toBeLessThanOrEqual(0.5);
    }
  });

  it('cover every way of stroking and clocking', () => {
    const all = FILES.flatMap((file) => program(file).stints);
    expect(new Set(all.map(({ clocking }) => clocking.kind))).toEqual(
      new Set(['none', 'steps', 'steady', 'byHand', 'free'].slice(1)),
    );
    expect(new Set(all.filter(({ shape }) => shape === 'ellipse').map(({ sense }) => sense))).toEqual(new Set([1, -1]));
    expect(all.some(({ shape, nudge }) => shape === 'ellipse' && nudge)).toBe(true);
    expect(all.some(({ nudge }) => nudge && nudge.byMm < 0)).toBe(true);
    expect(program('nudge-counts.yaml').stints.map(({ nudge }) => nudge?.everyStrokes)).toEqual([5, 3, 6]);
    expect(
      program('clock-fourth-fifth.yaml').stints.map(
        ({ clocking }) => clocking.kind === 'steps' && clocking.everyStrokes,
      ),
    ).toEqual([4, 5]);
    expect(
      program('two-straight-one-ellipse.yaml')
        .stints.map(({ shape, turns }) => `${turns} ${shape}`)
        .slice(0, 4),
    ).toEqual(['2 straight', '1 ellipse', '2 straight', '1 ellipse']);
  });

  it('the raised ring is worked at 60 % of the radius, in 10 to 20 minutes', () => {
    const ring = program('raised-ring.yaml');
    expect(minutesOf(ring)).toBeGreaterThan(10);
    expect(minutesOf(ring)).toBeLessThan(20);
    expect(ring.stints[0]?.settingMm).toBe(0.6 * (ring.glass.diameterMm / 2));
  });

  it('near the edge the first stint keeps the whole lap on the glass, the second hangs over by less than a quarter of it', () => {
    const { stints, lap, glass } = program('near-the-edge.yaml');
    const overhang = stints.map((stint) => {
      const { farthestMm } = reachOf({ ...stint, nudgeMm: stint.nudge?.byMm ?? 0 });
      return farthestMm + lap.outline.diameterMm / 2 - (glass.diameterMm / 2 - glass.bevelMm);
    });
    expect(overhang[0]).toBeLessThan(0);
    expect(overhang[1]! / lap.outline.diameterMm).toBeGreaterThan(0.1);
    expect(overhang[1]! / lap.outline.diameterMm).toBeLessThan(0.25);
  });
});

describe('the JSON Schema for editors', () => {
  // zod compiles the schema on its own; it shares no code with the reader.
  const accepts = (schema: object, text: string) => z.fromJSONSchema(schema as never).safeParse(parse(text)).success;

  it.each(FILES)('accepts the example %s', (file) => {
    expect(accepts(programSchema(), exampleText(file))).toBe(true);
  });

  it('accepts the demo shelf and the demo stand', () => {
    expect(accepts(shelfSchema(), exampleText('shelf.yaml'))).toBe(true);
    expect(accepts(standSchema(), exampleText('stand.yaml'))).toBe(true);
  });

  it.each([
    ['no unit', programText('- { turns: 3, stroke: straight, at: 90, length: 80 mm }')],
    ['a unit of another kind', programText('- { turns: 3, stroke: straight, at: 90 deg, length: 80 mm }')],
    ['a part of a turn', programText(`- { turns: 2.5, ${STRAIGHT} }`)],
    ['no turns', programText(`- { ${STRAIGHT} }`)],
    ['turns and a time', programText(`- { turns: 3, atLeast: 4 min, ${STRAIGHT} }`)],
    ['a width on a straight stroke', programText(`- { turns: 3, ${STRAIGHT}, width: 9 mm }`)],
    ['an ellipse without a width', programText('- { turns: 3, stroke: ellipse, at: 90 mm, length: 80 mm }')],
    ['a nudge with an unknown key', programText(`- { turns: 3, ${STRAIGHT}, nudge: { every: 3, by: 9 mm, how: x } }`)],
    ['an unknown clocking', programText(`- { turns: 3, ${STRAIGHT}, clock: sometimes }`)],
    ['an unknown key at the top', `titel: x\n${programText(`- { turns: 3, ${STRAIGHT} }`)}`],
    ['a repeat without a list', programText('- { repeat: 3 }')],
    ['no list', programText('').replace('do:', '')],
  ])('refuses %s', (_, text) => {
    expect(accepts(programSchema(), text)).toBe(false);
  });

  it('says the same as the reader about an alternation whose pattern gives no turns', () => {
    const text = programText(`- { alternate: 4 turns, do: [ { ${STRAIGHT} } ] }`);
    expect(accepts(programSchema(), text)).toBe(true);
    expect(readProgram(text, 'x.yaml', demoShelf()).complaints).toEqual([]);
  });

  it('closes every group of keys and describes every key', () => {
    const keys: string[] = [];
    const visit = (node: unknown): void => {
      if (typeof node !== 'object' || node === null) return;
      const { properties, additionalProperties, required } = node as Record<
        string,
        Record<string, { description?: string }>
      >;
      // Groups say which keys are needed; the small conditions beside them (which keys exclude each other) do not
      // close anything.
      if (properties && additionalProperties !== undefined) {
        expect(additionalProperties).toBe(false);
        expect(required).toBeDefined();
        for (const [key, { description }] of Object.entries(properties)) {
          keys.push(key);
          expect(description?.length).toBeGreaterThan(5);
        }
      }
      for (const child of Object.values(node)) visit(child);
    };
    visit(programSchema());
    expect(keys).toEqual(
      expect.arrayContaining(['turns', 'atLeast', 'nudge', 'clock', 'steady', 'byHand', 'repeat', 'alternate', 'do']),
    );
  });

  it.each([
    ['program.schema.json', programSchema()],
    ['shelf.schema.json', shelfSchema()],
    ['stand.schema.json', standSchema()],
  ])('lies beside the examples as it is: write %s there again after a change, and format it', (file, schema) => {
    expect(JSON.parse(exampleText(file))).toEqual(schema);
  });
});
