/** Writes a stroke program as a person would: units in the values, names from the shelf, repeats where stints recur. */
import type { Glass, Lap, Shelf, Slurry } from '../shelf/types';
import { MM_PER_INCH } from '../units/format';
import { parseQuantity, writeQuantity } from '../units/quantity';
import type { Kind } from '../units/units';
import { type Folded, foldStints } from './fold';
import { BY_HAND, CLOCKING_SHARE, RATE_TOLERANCE } from './preset';
import type { Clocking, Program, Stint } from './types';

export interface WriteOptions {
  /** What is on it is called by name; everything else is written out. */
  shelf: Shelf;
  /** Unit of the lengths of strokes; a length that has no short form in inches stays in mm. */
  lengths?: 'mm' | 'in';
  /** Lines for the reader, without the comment sign: at the top, and before the stints they speak of. */
  remarks?: { top: readonly string[]; stints: ReadonlyMap<Stint, string> };
}

type Pairs = [key: string, value: string][];
type Lengths = 'mm' | 'in';

/** Longest line of a stint in one piece. */
const LONGEST_LINE = 118;

/**
 * The text, which `readProgram` with the same shelf reads back to an equal program; only `file` and the stints' `line` are its own.
 * What is not on the shelf gets the name that reading makes of its title.
 */
export function writeProgram(program: Program, { shelf, lengths = 'mm', remarks }: WriteOptions): string {
  const { glass, lap, slurry, stints } = program;
  const rate = commonestRate(stints);
  const onShelf = shelf.laps[lap.id];
  const lapIsThere =
    onShelf !== undefined && same({ ...lap, load: 0 }, { ...onShelf, load: 0 }) && sameWeights(lap, onShelf);
  const top: Pairs = [
    ['wholeturn', '1'],
    ['title', words(program.title)],
    ['glass', glassText(glass, shelf)],
    ['lap', lapIsThere ? lap.id : flow(lapPairs(lap))],
  ];
  if (lapIsThere && lap.load.addedN !== onShelf.load.addedN) top.push(['load', force(lap.load.addedN)]);
  if (slurry) top.push(['slurry', same(slurry, shelf.slurries[slurry.id]) ? slurry.id : flow(slurryPairs(slurry))]);
  top.push(['turntable', writeQuantity(program.turntableRpm, 'turntableSpeed')]);
  top.push(['rate', writeQuantity(rate, 'rate')]);
  const setup = { lap, rate, lengths, remarks: remarks?.stints ?? new Map() };
  return [
    ...(remarks?.top ?? []).flatMap((words) => comment(words, '')),
    ...top.map(([key, value]) => `${key}: ${value}`),
    '',
    'do:',
    ...foldStints(stints).flatMap((step) => stepLines(step, '  ', setup)),
    '',
  ].join('\n');
}

/** The name of a glass that lies on the shelf, else all that is to be said of it in one line. */
export function glassText(glass: Glass, shelf: Shelf): string {
  return same(glass, shelf.glasses[glass.id]) ? glass.id : flow(glassPairs(glass));
}

interface Setup {
  lap: Lap;
  /** The rate at the top of the program. */
  rate: number;
  lengths: Lengths;
  remarks: ReadonlyMap<Stint, string>;
}

function stepLines(step: Folded, indent: string, setup: Setup): string[] {
  if (step.kind === 'repeat') {
    const inner = step.steps.flatMap((each) => stepLines(each, `${indent}    `, setup));
    return [`${indent}- repeat: ${step.times}`, `${indent}  do:`, ...inner];
  }
  const pairs = stintPairs(step.stint, setup);
  const remark = setup.remarks.get(step.stint);
  const before = remark === undefined ? [] : comment(remark, indent);
  const line = `${indent}- ${flow(pairs)}`;
  if (line.length <= LONGEST_LINE) return [...before, line];
  return [...before, ...pairs.map(([key, value], index) => `${indent}${index === 0 ? '- ' : '  '}${key}: ${value}`)];
}

/** Longest line of a comment, without its indent. */
const COMMENT_WIDTH = 100;

function comment(words: string, indent: string): string[] {
  const lines = [''];
  for (const word of words.split(/\s+/)) {
    const last = lines[lines.length - 1]!;
    if (last !== '' && last.length + 1 + word.length > COMMENT_WIDTH) lines.push(word);
    else lines[lines.length - 1] = last === '' ? word : `${last} ${word}`;
  }
  return lines.map((line) => `${indent}# ${line}`);
}

function stintPairs(stint: Stint, { lap, rate, lengths }: Setup): Pairs {
  const length = (mm: number): string => strokeLength(mm, lengths);
  const pairs: Pairs = [
    ['turns', String(stint.turns)],
    ['stroke', stint.shape],
    ['at', length(stint.settingMm)],
    ['length', length(stint.lengthMm)],
  ];
  if (stint.shape === 'ellipse') {
    pairs.push(['width', length(stint.widthMm)]);
    if (stint.sense === -1) pairs.push(['sense', 'clockwise']);
  }
  const { nudge } = stint;
  if (nudge) pairs.push(['nudge', `{ every: ${nudge.everyStrokes}, by: ${length(nudge.byMm)} }`]);
  const clock = clockText(stint.clocking, lap);
  if (clock !== null) pairs.push(['clock', clock]);
  if (stint.strokesPerMinute !== rate) pairs.push(['rate', writeQuantity(stint.strokesPerMinute, 'rate')]);
  if (stint.rateTolerance !== RATE_TOLERANCE) pairs.push(['rateTolerance', percent(stint.rateTolerance)]);
  return pairs;
}

/** Null where it goes without saying. */
function clockText(clocking: Clocking, lap: Lap): string | null {
  switch (clocking.kind) {
    case 'none':
      return lap.rotation === 'free' ? 'none' : null;
    case 'free':
      return lap.rotation === 'free' ? null : 'free';
    case 'steady':
      return `{ steady: ${writeQuantity(clocking.lapTurnsPerTurn, 'turns')} }`;
    case 'byHand': {
      const { everyTurns, byDeg } = clocking;
      if (everyTurns === BY_HAND.everyTurns && byDeg === BY_HAND.byDeg) return 'by hand';
      return `{ byHand: { every: ${everyTurns} turns, by: ${writeQuantity(byDeg, 'angle')} } }`;
    }
    case 'steps': {
      const share = clocking.share === CLOCKING_SHARE ? '' : `, share: ${percent(clocking.share)}`;
      return `{ every: ${clocking.everyStrokes}, by: ${writeQuantity(clocking.askedDeg, 'angle')}${share} }`;
    }
  }
}

function glassPairs(glass: Glass): Pairs {
  return [
    ['title', words(glass.title)],
    ['diameter', mm(glass.diameterMm)],
    ['bevel', mm(glass.bevelMm)],
    ['clearAperture', mm(glass.clearApertureMm)],
    ['hole', mm(glass.holeMm)],
    ['radiusOfCurvature', mm(glass.radiusOfCurvatureMm)],
    ['conicConstant', String(glass.conicConstant)],
    ['material', words(glass.material)],
    ['thickness', mm(glass.thicknessMm)],
  ];
}

function lapPairs(lap: Lap): Pairs {
  const { outline, facets, load } = lap;
  const pairs: Pairs = [
    ['title', words(lap.title)],
    ['outline', outline.shape],
    ['diameter', mm(outline.diameterMm)],
  ];
  if (outline.shape === 'star') pairs.push(['points', String(outline.points)], ['depth', mm(outline.depthMm)]);
  if (facets) {
    const { pitchMm, channelMm, offsetXMm, offsetYMm } = facets;
    const written: Pairs = [
      ['pitch', mm(pitchMm)],
      ['channel', mm(channelMm)],
      ['offsetX', mm(offsetXMm)],
      ['offsetY', mm(offsetYMm)],
    ];
    pairs.push(['facets', flow(written)]);
  }
  const weights: Pairs = [
    ['added', force(load.addedN)],
    ['lapWeight', force(load.lapWeightN)],
    ['armWeight', force(load.armWeightN)],
  ];
  pairs.push(
    ['load', flow(weights)],
    ['pivotHeight', mm(lap.pivotHeightMm)],
    ['friction', String(lap.friction)],
    ['rotation', lap.rotation],
  );
  return pairs;
}

function slurryPairs(slurry: Slurry): Pairs {
  const minutes = `${slurry.wetMinutes} min`;
  const read = parseQuantity(minutes, 'duration');
  const exact = read.ok && read.value / 60 === slurry.wetMinutes;
  return [
    ['title', words(slurry.title)],
    ['wet', exact ? minutes : writeQuantity(slurry.wetMinutes * 60, 'duration')],
  ];
}

function flow(pairs: Pairs): string {
  return `{ ${pairs.map(([key, value]) => `${key}: ${value}`).join(', ')} }`;
}

/** Plain where nothing in it could mean something else to a reader of YAML, quoted otherwise. */
function words(text: string): string {
  return /^[A-Za-z][A-Za-z0-9]*( [A-Za-z0-9.()'-]+)+$/.test(text) ? text : JSON.stringify(text);
}

function mm(value: number): string {
  return writeQuantity(value, 'length');
}

function force(value: number): string {
  return writeQuantity(value, 'force');
}

function strokeLength(value: number, lengths: Lengths): string {
  return lengths === 'in' ? nicely(value, `${Number((value / MM_PER_INCH).toFixed(4))} in`, 'length') : mm(value);
}

function percent(share: number): string {
  return nicely(share, `${Number((100 * share).toFixed(4))} %`, 'share');
}

/** The short text if it reads back to exactly the value, else the value in its own unit. */
function nicely(value: number, text: string, kind: Kind): string {
  const read = parseQuantity(text, kind);
  return read.ok && read.value === value ? text : writeQuantity(value, kind);
}

function commonestRate(stints: readonly Stint[]): number {
  const counts = new Map<number, number>();
  for (const { strokesPerMinute } of stints) counts.set(strokesPerMinute, (counts.get(strokesPerMinute) ?? 0) + 1);
  return [...counts].sort((a, b) => b[1] - a[1])[0]?.[0] ?? 44;
}

function sameWeights(a: Lap, b: Lap): boolean {
  return a.load.lapWeightN === b.load.lapWeightN && a.load.armWeightN === b.load.armWeightN;
}

/** Whether two plain values are equal, whatever the order of their keys. */
function same(a: unknown, b: unknown): boolean {
  if (typeof a !== 'object' || typeof b !== 'object' || a === null || b === null) return a === b;
  const keys = Object.keys(a);
  return (
    keys.length === Object.keys(b).length &&
    keys.every((key) => same((a as Record<string, unknown>)[key], (b as Record<string, unknown>)[key]))
  );
}
