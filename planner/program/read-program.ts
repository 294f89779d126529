/** Reads a stroke program. Everything wrong with it is said at once, each with its line, and nothing is guessed. */
import { openDocument } from '../reading/document';
import { complain, type Field, type Spot } from '../reading/fields';
import { group, may, must, type Parts, within } from '../reading/groups';
import { glassField, lapField, slurryField } from '../shelf/fields';
import type { Shelf } from '../shelf/types';
import { headerEntries, later } from './fields';
import { shelfItem } from './shelf-items';
import { asWritten, readSteps, type Step, turnsIn, unrolled } from './steps';
import { type ReadStint, rateFits, type Setup } from './stint';
import { strokeTroubles } from './trouble';
import { type Complaint, MAX_TURNS, type Program } from './types';

/** The top of a program; `list` reads what stands under `do`. */
export function programGroup<L>(shelf: Shelf, list: Field<L>) {
  return group('a program', {
    ...headerEntries,
    glass: must(shelfItem('glass', glassField, shelf.glasses), 'the glass: its name on the shelf, or written out'),
    lap: must(shelfItem('lap', lapField, shelf.laps), 'the lap: its name on the shelf, or written out'),
    slurry: may(shelfItem('slurry', slurryField, shelf.slurries), 'the slurry: its name on the shelf, or written out'),
    do: must(list, 'the list of stints'),
  });
}

/**
 * Never throws: `program` is null exactly when there is a complaint. `file` is only for complaints, nothing is opened.
 * Lengths come out in mm, angles in degrees, times as whole turns; repeats and alternations are unrolled.
 */
export function readProgram(
  text: string,
  file: string,
  shelf: Shelf,
): { program: Program | null; complaints: Complaint[] } {
  const { complaints, root } = openDocument(text, file, 'a stroke program');
  const parts = root ? programGroup(shelf, later).readParts({ node: root, field: '', complaints }) : null;
  if (!parts) return { program: null, complaints: complaints.all() };
  const { values, complete } = parts;
  const setup: Setup = {
    glass: values.glass ?? null,
    lap: values.lap ?? null,
    turntableRpm: values.turntable ?? null,
    strokesPerMinute: rateForAll(parts),
  };
  const steps = values.do ? readSteps(values.do, setup) : null;
  if (steps) checkTurns(steps);
  checkLoad(parts);
  if (!complete || !steps || complaints.any) return { program: null, complaints: complaints.all() };
  for (const { step } of steps) for (const written of asWritten(step)) checkStrokes(written, complete.turntable);
  if (complaints.any) return { program: null, complaints: complaints.all() };
  const { lap, load } = complete;
  const program: Program = {
    title: complete.title,
    file,
    glass: complete.glass,
    lap: load === undefined ? lap : { ...lap, load: { ...lap.load, addedN: load } },
    slurry: complete.slurry ?? null,
    turntableRpm: complete.turntable,
    stints: steps.flatMap(({ step }) => [...unrolled(step)]),
  };
  return { program, complaints: [] };
}

function rateForAll({ values, spots }: Parts<typeof headerEntries>): Setup['strokesPerMinute'] {
  if (!spots.rate) return 'missing';
  if (values.rate === undefined) return null;
  return rateFits(spots.rate, values.rate, values.turntable ?? null) ? values.rate : null;
}

/** A lap that nothing presses is complained about where it is described; here the program has taken the last weight off. */
function checkLoad({ values, spots }: Parts<ReturnType<typeof programGroup<Spot>>['entries']>): void {
  const { lap, load } = values;
  if (!lap || load === undefined || load + lap.load.lapWeightN + lap.load.armWeightN > 0) return;
  if (spots.load) complain(spots.load, 'Nothing presses this lap: it would take nothing off.');
}

/** Before anything is unrolled: nested repeats multiply. */
function checkTurns(steps: readonly { spot: Spot; step: Step }[]): void {
  let turns = 0;
  for (const { spot, step } of steps) {
    turns += turnsIn(step);
    if (turns <= MAX_TURNS) continue;
    const words = Number.isSafeInteger(turns) ? `${turns} turns` : 'more turns than can be counted';
    const message = `With this the program comes to ${words}; at most ${MAX_TURNS} can be planned.`;
    complain(spot, `${message} Repeat less, or make two programs of it.`);
    return;
  }
}

function checkStrokes({ read, turns }: { read: ReadStint; turns: number }, turntableRpm: number): void {
  const { stint, spots, spot } = read;
  for (const { key, message } of strokeTroubles(stint, turns, turntableRpm))
    complain(key === 'rate' ? (spots.rate ?? spot) : within(spots[key] ?? spot, 'every'), message);
}
