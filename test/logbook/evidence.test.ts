import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { EvidenceBook } from '../../firmware-host/logbook/evidence';
import { Logbook } from '../../firmware-host/logbook/logbook';
import type { RunEvidence } from '../../planner/learn/types';

let folder = '';
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'wholeturn-evidence-'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const RECIPE = { lapId: 'round-60', slurryId: 'fine', glassId: 'mirror', virtual: false };

function evidence(id: string, kPerPa = 8e-13): RunEvidence {
  return {
    id,
    kPerPa,
    kSigmaPerPa: 5e-14,
    ratio: 1,
    radiusMm: [0, 1],
    shapeResidualNm: [0.5, -0.5],
    shapeBandNm: [1, 1],
    misfit: 1,
    causes: [],
    atMinutes: 10,
    meanSpeedMmPerS: 80,
  };
}

test('what was learned is found again by lap, slurry and glass, oldest first, virtual runs apart', () => {
  const file = join(folder, 'logbook.db');
  const book = EvidenceBook.open(file);
  book.keep(RECIPE, { evidence: evidence('b'), minutes: 20 }, 2000);
  book.keep(RECIPE, { evidence: evidence('a'), minutes: 10 }, 1000);
  book.keep({ ...RECIPE, virtual: true }, { evidence: evidence('c'), minutes: 5 }, 3000);
  book.keep({ ...RECIPE, slurryId: null }, { evidence: evidence('d'), minutes: 5 }, 4000);
  book.close();
  const again = EvidenceBook.open(file);
  expect(again.of(RECIPE).map((kept) => [kept.evidence.id, kept.minutes])).toEqual([
    ['a', 10],
    ['b', 20],
  ]);
  expect(again.of(RECIPE, 'a').map((kept) => kept.evidence.id)).toEqual(['b']);
  expect(again.of({ ...RECIPE, virtual: true })[0]!.evidence).toEqual(evidence('c'));
  expect(again.of({ ...RECIPE, glassId: 'other' })).toEqual([]);
  again.close();
});

test('a run learned from again replaces what it taught', () => {
  const book = EvidenceBook.open(join(folder, 'logbook.db'));
  book.keep(RECIPE, { evidence: evidence('a', 8e-13), minutes: 10 }, 1000);
  book.keep(RECIPE, { evidence: evidence('a', 6e-13), minutes: 10 }, 2000);
  expect(book.of(RECIPE).map((kept) => kept.evidence.kPerPa)).toEqual([6e-13]);
  book.close();
});

test('it is the logbook of the runs, whole as before', () => {
  const file = join(folder, 'logbook.db');
  const book = EvidenceBook.open(file);
  book.keep(RECIPE, { evidence: evidence('a'), minutes: 10 }, 1000);
  book.close();
  const runs = Logbook.open(file);
  expect(runs.runs(5)).toEqual([]);
  expect(runs.faults()).toEqual([]);
  runs.close();
});
