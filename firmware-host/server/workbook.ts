/**
 * Measurements and what is learned from them, for the pages: reads, reduces, keeps. A reduction or a forecast takes up to a second on a
 * slow machine and a commit waits for the disc, so this runs in a thread of its own (./workbook-thread), beside those that walk, that
 * keep the rows of runs and that serve people; it has its own connection to the logbook.
 */
import { readMeasurement } from '../../planner/figure/read-measurement';
import { reduce } from '../../planner/figure/reduce';
import type { Figure, Measurement } from '../../planner/figure/types';
import { BEFORE_LEARNING, combine } from '../../planner/learn/combine';
import { learnFromRun, learnReport, mismatchOf } from '../../planner/learn/learn-run';
import { readProgram } from '../../planner/program/read-program';
import type { Complaint } from '../../planner/program/types';
import { RemovalRefused } from '../../planner/removal/refusal';
import type { Glass, Lap, Shelf } from '../../planner/shelf/types';
import type { Stand } from '../../planner/stand/types';
import { EvidenceBook, recipeOf } from '../logbook/evidence';
import { Logbook, type RunRow } from '../logbook/logbook';
import { MeasurementBook } from '../logbook/measurements';
import { turnsWalkedIn, walkedRun } from '../logbook/walked-run';
import { readingFile } from '../virtual/glass/reading-file';
import { testerFor } from '../virtual/glass/tester';
import type { Random } from '../virtual/glass/truth';
import { VirtualGlass } from '../virtual/glass/virtual-glass';
import type { AnswerTo, Knowledge, Refusal, RunOffered } from './messages';
import type { WorkbookCall } from './workbook-host';

/** What lies at hand: the shelf and stand that the loaded program was read with. */
export interface AtHand {
  shelf: Shelf;
  stand: Stand;
}

/** So many of each are shown; older ones stay in the logbook. */
const SHOWN_MEASUREMENTS = 40;
const SHOWN_RUNS = 40;
/** A virtual glass need not be waited for: it has rested when it is read. */
const NIGHT_MINUTES = 600;

interface RunRecipe {
  glass: Glass;
  lap: Lap;
  slurry: { id: string } | null;
}

export class WorkbookKeeper {
  private constructor(
    private readonly runs: Logbook,
    private readonly measurements: MeasurementBook,
    private readonly evidence: EvidenceBook,
  ) {}

  /** Throws LogbookError. */
  static open(file: string): WorkbookKeeper {
    return new WorkbookKeeper(Logbook.open(file), MeasurementBook.open(file), EvidenceBook.open(file));
  }

  workbook(): AnswerTo<'workbook'> {
    return {
      ok: true,
      measurements: this.measurements.latest(SHOWN_MEASUREMENTS),
      runs: this.runs.runs(SHOWN_RUNS).flatMap((row) => this.offered(row)),
      knowledge: this.evidence.recipes().map((recipe): Knowledge => {
        const taught = this.evidence.of(recipe);
        const minutes = taught.reduce((sum, one) => sum + one.minutes, 0);
        const all = taught.map((one) => one.evidence);
        const { kPerPa, sigma, runs } = combine(all, BEFORE_LEARNING, minutes);
        return { ...recipe, kPerPa, sigma, runs };
      }),
    };
  }

  /** Keeps the text of a measurement that can be read without complaint. */
  keepMeasurement(text: string, { shelf }: AtHand, atMs: number): AnswerTo<'keepMeasurement'> {
    const measurement = read(text, shelf);
    if ('ok' in measurement) return measurement;
    const { glass, virtual } = measurement;
    return { ok: true, id: this.measurements.keep({ atMs, glassId: glass.id, text, virtual }) };
  }

  /** Readings of a virtual glass after a night's rest, by a virtual tester with a mask of zones of about 15 mm. */
  readVirtualGlass(
    { takes, diameters, data }: Extract<WorkbookCall, { ask: 'readVirtualGlass' }>,
    random: Random,
  ): AnswerTo<'readVirtualGlass'> {
    const glass = new VirtualGlass(data.glass, data.truth, data.state);
    glass.rest(NIGHT_MINUTES);
    const diametersDeg = diameters === 3 ? [0, 60, 120] : [0];
    return { ok: true, text: readingFile(glass.measure({ ...testerFor(data.glass), diametersDeg, takes }, random)) };
  }

  learn(
    { runId, beforeId, afterId }: { runId: string; beforeId: number; afterId: number },
    { shelf, stand }: AtHand,
    atMs: number,
  ): AnswerTo<'learn'> {
    const row = this.runs.run(runId);
    if (row === null) return no(`There is no run "${runId}" in the logbook.`);
    if (row.endedMs === null)
      return no('This run has not ended yet. Let it end, let the glass rest and measure it first.');
    if (row.air) return no('This run was walked with the lap up: it took nothing off, so it teaches nothing.');
    const { program, complaints } = readProgram(row.programText, row.programFile, shelf);
    if (program === null) return no(inWords('The program of this run cannot be read any more', complaints));
    const figures: Figure[] = [];
    for (const [when, id] of [
      ['before', beforeId],
      ['after', afterId],
    ] as const) {
      const kept = this.measurements.one(id);
      if (kept === null) return no(`The measurement ${when} (number ${id}) is not in the logbook.`);
      const measurement = read(kept.text, shelf);
      if ('ok' in measurement) return measurement;
      figures.push(reduce(measurement));
    }
    const [before, after] = figures as [Figure, Figure];
    const walked = walkedRun(this.runs, row, program, stand);
    const mismatch = mismatchOf(walked, before, after);
    if (mismatch !== null) return no(mismatch);
    const recipe = recipeOf(walked);
    try {
      const result = learnFromRun(walked, before, after, this.evidence.of(recipe, walked.id));
      if (result.taught) this.evidence.keep(recipe, result.taught, atMs);
      return { ok: true, report: learnReport(result, walked.virtual) };
    } catch (error) {
      if (!(error instanceof RemovalRefused)) throw error;
      return no(error.reasons.map(({ message }) => message).join('\n'));
    }
  }

  close(): void {
    this.runs.close();
    this.measurements.close();
    this.evidence.close();
  }

  /** One run, or none: it must have ended, and have walked with the lap down. */
  private offered(row: RunRow): RunOffered[] {
    const turnsWalked = turnsWalkedIn(this.runs, row);
    if (row.endedMs === null || !turnsWalked || row.air) return [];
    // As `describeRun` wrote it.
    const { glass, lap, slurry } = row.recipe as RunRecipe;
    const { id, title, startedMs, endedMs, plannedTurns, virtual } = row;
    const recipe = { lapId: lap.id, glassId: glass.id, slurryId: slurry?.id ?? null };
    return [{ id, title, startedMs, endedMs, turnsWalked, plannedTurns, ...recipe, virtual }];
  }
}

function no(words: string): Refusal {
  return { ok: false, words };
}

function read(text: string, shelf: Shelf): Measurement | Refusal {
  const { measurement, complaints } = readMeasurement(text, 'measurement', shelf, () => null);
  return measurement ?? no(inWords('This measurement cannot be kept', complaints));
}

/** A line a complaint, each with its place. */
function inWords(what: string, complaints: readonly Complaint[]): string {
  const lines = complaints.map(
    ({ line, field, message }) => `Line ${line}${field === '' ? '' : `, ${field}`}: ${message}`,
  );
  return [`${what}:`, ...lines].join('\n');
}
