/** The plan as it is edited: what it becomes as a program, what each edit does, what undo takes back. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { LARGEST_PROGRAM_BYTES as AT_THE_DOOR } from '../../firmware-host/server/requests';
import { readProgram } from '../../planner/program/read-program';
import type { Program } from '../../planner/program/types';
import { checkDraft, limitComplaint, refusalComplaint } from '../../web-ui/plan/complaints';
import {
  type Draft,
  draftOf,
  firstStint,
  newDraft,
  programOf,
  type StepDraft,
  type StintDraft,
  totalTurns,
  turnsOfStints,
  writtenStints,
} from '../../web-ui/plan/draft';
import {
  addAfter,
  changeStint,
  changeTimes,
  duplicate,
  type Edited,
  mayMove,
  mayRemove,
  move,
  remove,
  shownStint,
  takeApart,
  wrapInRepeat,
} from '../../web-ui/plan/edits';
import { begin, record, redo, settle, undo } from '../../web-ui/plan/history';
import { fileName, LARGEST_PROGRAM_BYTES, programText, sendTrouble } from '../../web-ui/plan/send';
import { demoShelf, exampleText, readWell } from '../program/reading';

const shelf = demoShelf();
const bare = ({ stints, ...rest }: Program) => ({
  ...rest,
  file: '',
  stints: stints.map((stint) => ({ ...stint, line: 0 })),
});
const EXAMPLES = ['raised-ring', 'long-mixed', 'by-hand', 'free-lap', 'steady-turning', 'both-senses', 'inches'];

const base = (): Draft => newDraft(readWell(exampleText('raised-ring.yaml')));
const stint = (id: number): StintDraft => ({ ...firstStint(id, base().glass, base().lap), turns: id });
const repeat = (id: number, times: number, steps: StepDraft[]): StepDraft => ({ kind: 'repeat', id, times, steps });
const draft = (...steps: StepDraft[]): Draft => ({ ...base(), steps });

/** "1 2x(2 3) 4": stints by their ids. */
const shape = (steps: readonly StepDraft[]): string =>
  steps.map((step) => (step.kind === 'stint' ? step.id : `${step.times}x(${shape(step.steps)})`)).join(' ');

describe('a draft', () => {
  it.each(EXAMPLES)('of the example %s becomes the same program again', (name) => {
    const program = readWell(exampleText(`${name}.yaml`));
    expect(bare(programOf(draftOf(program)))).toEqual(bare(program));
  });

  it('keeps the repeats of the example, and counts turns through them', () => {
    const long = draftOf(readWell(exampleText('long-mixed.yaml')));
    expect(writtenStints(long)).toHaveLength(6);
    expect(totalTurns(long)).toBe(300);
    const turns = turnsOfStints(long);
    expect(writtenStints(long).map(({ id }) => turns.get(id))).toEqual([100, 65, 50, 25, 50, 10]);
  });

  it('numbers its stints as people count them', () => {
    const { stints } = programOf(draft(stint(7), repeat(8, 2, [stint(3), stint(5)])));
    expect(stints.map(({ line }) => line)).toEqual([1, 2, 3, 2, 3]);
    expect(stints.map(({ group }) => group)).toEqual([0, 1, 2, 1, 2]);
  });

  it('puts aside what is switched off and has it again when it is switched on', () => {
    const full = {
      ...stint(1),
      shape: 'ellipse' as const,
      widthMm: 21,
      sense: -1 as const,
      nudged: true,
      nudgeByMm: -6,
    };
    const plain = { ...full, shape: 'straight' as const, nudged: false, clocking: 'none' as const };
    const [off] = programOf(draft(plain)).stints;
    expect(off).toMatchObject({ widthMm: 0, sense: 1, nudge: null, clocking: { kind: 'none' } });
    const back = { ...plain, shape: 'ellipse' as const, nudged: true, clocking: 'steps' as const };
    const [on] = programOf(draft(back)).stints;
    expect(on).toMatchObject({ widthMm: 21, sense: -1, nudge: { byMm: -6 }, clocking: { askedDeg: 40 } });
  });

  it('lets a free lap turn freely and a driven one not, whatever was chosen before', () => {
    const free = readWell(exampleText('free-lap.yaml'));
    const onFree = programOf({ ...draft(stint(1)), lap: free.lap });
    expect(onFree.stints[0]?.clocking).toEqual({ kind: 'free' });
    const back = programOf({ ...draftOf(free), lap: base().lap });
    expect(back.stints[0]?.clocking).toEqual({ kind: 'none' });
  });

  it('has a title even when nobody gave one', () => {
    expect(programOf({ ...base(), title: '  ' }).title).toBe('Without a title');
  });
});

describe('edits of the list', () => {
  const list = () => draft(stint(1), repeat(10, 2, [stint(2), stint(3)]), stint(4));
  const steps = ({ draft: { steps } }: Edited) => shape(steps);

  it('add after what is selected, also inside a repeat and after one', () => {
    expect(steps(addAfter(list(), 1))).toBe('1 11 2x(2 3) 4');
    expect(steps(addAfter(list(), 2))).toBe('1 2x(2 11 3) 4');
    expect(steps(addAfter(list(), 10))).toBe('1 2x(2 3) 11 4');
    expect(addAfter(list(), 2).selected).toBe(11);
  });

  it('duplicate a stint or a whole repeat, with ids of their own', () => {
    expect(steps(duplicate(list(), 4))).toBe('1 2x(2 3) 4 11');
    expect(steps(duplicate(list(), 10))).toBe('1 2x(2 3) 2x(12 13) 4');
    expect(shownStint(duplicate(list(), 4).draft, 11)).toMatchObject({ turns: 4 });
  });

  it('remove, and take an emptied repeat with it; select what follows, else what is last', () => {
    expect(remove(list(), 1)).toMatchObject({ selected: 2 });
    expect(remove(list(), 4)).toMatchObject({ selected: 3 });
    expect(steps(remove(list(), 10))).toBe('1 4');
    expect(steps(remove(remove(list(), 2).draft, 3))).toBe('1 4');
  });

  it('never remove the last stint', () => {
    const one = draft(repeat(5, 3, [stint(1)]));
    expect(mayRemove(one, 1)).toBe(false);
    expect(mayRemove(one, 5)).toBe(false);
    expect(remove(one, 5).draft).toBe(one);
  });

  it('repeat and take apart', () => {
    expect(steps(wrapInRepeat(list(), 4))).toBe('1 2x(2 3) 2x(4)');
    expect(steps(wrapInRepeat(list(), 10))).toBe('1 2x(2x(2 3)) 4');
    expect(steps(takeApart(list(), 10))).toBe('1 2 3 4');
    expect(shape(changeTimes(list(), 10, 7).steps)).toBe('1 7x(2 3) 4');
  });

  it('move one way through a repeat, in and out, and the same way back', () => {
    const way = ['1 2x(2 3) 4', '2x(1 2 3) 4', '2x(2 1 3) 4', '2x(2 3 1) 4', '2x(2 3) 1 4', '2x(2 3) 4 1'];
    let now = list();
    const seen = [shape(now.steps)];
    while (mayMove(now, 1, 1)) {
      now = move(now, 1, 1);
      seen.push(shape(now.steps));
    }
    expect(seen).toEqual(way);
    const back = [shape(now.steps)];
    while (mayMove(now, 1, -1)) {
      now = move(now, 1, -1);
      back.push(shape(now.steps));
    }
    expect(back).toEqual(way.toReversed());
  });

  it('moves the only stint of a repeat out and leaves no empty one behind', () => {
    expect(shape(move(draft(stint(1), repeat(5, 3, [stint(2)])), 2, -1).steps)).toBe('1 2');
  });

  it('do not nest deeper than a file may be read', () => {
    let now: Edited = { draft: draft(stint(1)), selected: 1 };
    for (let i = 0; i < 12; i++) {
      const inner = now.selected;
      now = wrapInRepeat(now.draft, inner);
      // Another stint beside it, or the repeats would be written as one.
      if (now.selected !== inner) now = { draft: addAfter(now.draft, inner).draft, selected: now.selected };
    }
    const text = programText(programOf(now.draft), shelf, 'mm');
    expect(text.match(/repeat/g)).toHaveLength(6);
    expect(readProgram(text, 'x', shelf).complaints).toEqual([]);
  });
});

/** What a hand can do to a plan, at random. */
type Deed = { what: string; pick: number; size: number };
const deed: fc.Arbitrary<Deed> = fc.record({
  what: fc.constantFrom('add', 'duplicate', 'remove', 'earlier', 'later', 'wrap', 'apart', 'times', 'change'),
  pick: fc.nat(50),
  size: fc.integer({ min: 1, max: 4 }),
});
const change = fc.record(
  {
    turns: fc.integer({ min: 1, max: 12 }),
    settingMm: fc.integer({ min: 0, max: 150 }),
    lengthMm: fc.integer({ min: 1, max: 300 }),
    widthMm: fc.integer({ min: 1, max: 150 }),
    shape: fc.constantFrom('straight' as const, 'ellipse' as const),
    sense: fc.constantFrom<1 | -1>(1, -1),
    nudged: fc.boolean(),
    nudgeByMm: fc.constantFrom(-30, -3, 3, 8, 60),
    nudgeEvery: fc.constantFrom(1, 2, 5, 900),
    clocking: fc.constantFrom('none' as const, 'steps' as const, 'steady' as const, 'byHand' as const),
    clockEvery: fc.constantFrom(1, 3, 900),
    steadyTurns: fc.constantFrom(0.37, 1, -0.5, 0.333),
    handEveryTurns: fc.constantFrom(1, 3),
    strokesPerMinute: fc.constantFrom(0.5, 20, 44, 600),
  },
  { requiredKeys: [] },
);

function allIds(steps: readonly StepDraft[]): number[] {
  return steps.flatMap((step) => [step.id, ...(step.kind === 'repeat' ? allIds(step.steps) : [])]);
}

function done(now: Edited, { what, pick, size }: Deed, part: Partial<StintDraft>): Edited {
  const ids = allIds(now.draft.steps);
  const id = ids[pick % ids.length]!;
  const of = (next: Draft): Edited => ({ draft: next, selected: now.selected });
  switch (what) {
    case 'add':
      return addAfter(now.draft, id);
    case 'duplicate':
      return duplicate(now.draft, id);
    case 'remove':
      return remove(now.draft, id);
    case 'earlier':
      return of(move(now.draft, id, -1));
    case 'later':
      return of(move(now.draft, id, 1));
    case 'wrap':
      return wrapInRepeat(now.draft, id);
    case 'apart':
      return takeApart(now.draft, id);
    case 'times':
      return of(changeTimes(now.draft, id, size));
    default:
      return of(changeStint(now.draft, id, part));
  }
}

describe('whatever is done to a plan', () => {
  it('no stint is lost or doubled by moving, ids stay unique, and something is always selected', () => {
    fc.assert(
      fc.property(fc.array(fc.tuple(deed, change), { maxLength: 20 }), (deeds) => {
        let now: Edited = { draft: base(), selected: 1 };
        for (const [one, part] of deeds) {
          const before = allIds(now.draft.steps);
          const stints = writtenStints(now.draft).map(({ id }) => id);
          now = done(now, one, part);
          const ids = allIds(now.draft.steps);
          expect(new Set(ids).size).toBe(ids.length);
          if (one.what === 'earlier' || one.what === 'later')
            expect(
              writtenStints(now.draft)
                .map(({ id }) => id)
                .sort(),
            ).toEqual(stints.sort());
          if (one.what === 'add') expect(ids.length).toBe(before.length + 1);
          expect(writtenStints(now.draft)).toContain(shownStint(now.draft, now.selected));
        }
      }),
      { seed: 4_511, numRuns: 300 },
    );
  });

  it('what the page has nothing against, the reader of files reads, to the same program', () => {
    let passed = 0;
    let refused = 0;
    fc.assert(
      fc.property(fc.array(fc.tuple(deed, change), { minLength: 1, maxLength: 9 }), (deeds) => {
        let now: Edited = { draft: base(), selected: 1 };
        for (const [one, part] of deeds) now = done(now, one, part);
        const complaints = checkDraft(now.draft);
        const program = programOf(now.draft);
        const read = readProgram(programText(program, shelf, 'mm'), 'x', shelf);
        if (complaints.length === 0) {
          passed++;
          expect(read.complaints).toEqual([]);
          expect(bare(read.program!)).toEqual(bare(program));
        } else {
          refused++;
          expect(read.complaints.length).toBeGreaterThan(0);
        }
      }),
      { seed: 90_210, numRuns: 600 },
    );
    // Both ways were met often enough to mean something.
    expect(Math.min(passed, refused)).toBeGreaterThan(100);
  });
});

describe('undo and redo', () => {
  it('go back and forth through changes, and a new change forgets what was undone', () => {
    let history = record(record(begin('a'), 'b'), 'c');
    history = undo(history);
    expect(history.now).toBe('b');
    history = undo(undo(history));
    expect(history.now).toBe('a');
    history = redo(history);
    expect(history.now).toBe('b');
    history = record(history, 'd');
    expect(redo(history)).toBe(history);
    expect(undo(history).now).toBe('b');
  });

  it('take a whole gesture back at once, and the next gesture by itself', () => {
    let history = begin(0);
    for (let value = 1; value <= 5; value++) history = record(history, value, 'pull 1');
    for (let value = 6; value <= 9; value++) history = record(history, value, 'pull 2');
    expect(undo(history).now).toBe(5);
    expect(undo(undo(history)).now).toBe(0);
  });

  it('keep two changes of one field apart once the first was settled', () => {
    const history = record(settle(record(begin(0), 1, 'Turns')), 2, 'Turns');
    expect(undo(history).now).toBe(1);
  });

  it('remember two hundred changes and no more', () => {
    let history = begin(0);
    for (let value = 1; value <= 300; value++) history = record(history, value);
    expect(history.past).toHaveLength(200);
    expect(history.past[0]).toBe(100);
  });
});

describe('complaints', () => {
  const of = (part: Partial<StintDraft>) =>
    checkDraft(draft({ ...stint(1), turns: 9, ...part })).map(({ stint: number, field }) => `${number} ${field}`);

  it('stand at the field that can mend them', () => {
    expect(of({})).toEqual([]);
    expect(of({ settingMm: 150 })).toEqual(['1 at']);
    expect(of({ settingMm: 140, lengthMm: 200 })).toEqual(['1 length']);
    expect(of({ settingMm: 60, shape: 'ellipse', widthMm: 140 })).toEqual(['1 width']);
    expect(of({ settingMm: 20, nudged: true, nudgeByMm: 30 })).toEqual(['1 nudge']);
    expect(of({ clocking: 'steady', steadyTurns: 0.5 })).toEqual(['1 clock']);
    expect(of({ nudged: true, nudgeEvery: 5_000 })).toEqual(['1 nudge']);
    expect(of({ strokesPerMinute: 0.1 })).toEqual(['1 rate']);
  });

  it('name the stint, and the whole program where no stint is to blame', () => {
    const list = draft(stint(1), { ...stint(2), settingMm: 150 }, repeat(3, 20_000, [stint(4)]));
    expect(checkDraft(list).map(({ stint: number, field }) => `${number} ${field}`)).toEqual(['null turns', '2 at']);
  });

  it('of the stand go to the rate for speeds, to the geometry for travel, to the turntable where it is that', () => {
    const limit = { needed: 2, allowed: 1, unit: 'mm', line: 3, turns: 1, fits: null, message: 'x (line 3)' };
    expect(limitComplaint({ ...limit, axis: 'stroke', what: 'travel' })).toMatchObject({ stint: 3, field: 'length' });
    expect(limitComplaint({ ...limit, axis: 'radial', what: 'travel' })).toMatchObject({ field: 'at' });
    expect(limitComplaint({ ...limit, axis: 'radial', what: 'speed' })).toMatchObject({ field: 'rate' });
    expect(limitComplaint({ ...limit, axis: 'lapTurn', what: 'speed' })).toMatchObject({ field: 'clock' });
    expect(limitComplaint({ ...limit, axis: 'turntable', what: 'speed' })).toMatchObject({
      stint: null,
      field: 'turntable',
      message: 'x (stint 3)',
    });
  });

  it('of the forecast keep their place', () => {
    expect(refusalComplaint({ field: 'at', line: 2, message: 'The stroke of line 2 tips' })).toEqual({
      stint: 2,
      field: 'at',
      message: 'The stroke of stint 2 tips',
    });
    expect(refusalComplaint({ field: 'lap.load', message: 'x' })).toMatchObject({ stint: null, field: 'load' });
    expect(refusalComplaint({ field: 'lap.facets.pitch', message: 'x' })).toMatchObject({ field: 'lap' });
  });
});

describe('a plan as a file', () => {
  it('is named after its title', () => {
    expect(fileName('Ease a raised ring at 90 mm')).toBe('ease-a-raised-ring-at-90-mm.yaml');
    expect(fileName('***')).toBe('program.yaml');
  });

  it('is not sent when the host would not take it', () => {
    expect(LARGEST_PROGRAM_BYTES).toBe(AT_THE_DOOR);
    expect(sendTrouble('µ'.repeat(LARGEST_PROGRAM_BYTES / 2))).toBeNull();
    expect(sendTrouble(`${'µ'.repeat(LARGEST_PROGRAM_BYTES / 2)}x`)).toMatch(/12001 bytes/);
  });
});
