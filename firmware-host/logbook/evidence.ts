/** What measured runs taught, kept in the logbook: one row a run, found by lap, slurry and glass. Virtual runs stay apart. */
import type { Taught, WalkedRun } from '../../planner/learn/learn-run';
import type { RunEvidence } from '../../planner/learn/types';
import { type Database, openDatabase } from './database';

export interface Recipe {
  lapId: string;
  slurryId: string | null;
  glassId: string;
  virtual: boolean;
}

export function recipeOf({ program, virtual }: Pick<WalkedRun, 'program' | 'virtual'>): Recipe {
  return { lapId: program.lap.id, slurryId: program.slurry?.id ?? null, glassId: program.glass.id, virtual };
}

export class EvidenceBook {
  private constructor(private readonly database: Database) {}

  /** Throws LogbookError. */
  static open(file: string): EvidenceBook {
    return new EvidenceBook(openDatabase(file));
  }

  /** A run that is learned from again replaces what it taught before. Returns once the row is on the disc. */
  keep({ lapId, slurryId, glassId, virtual }: Recipe, kept: Taught, atMs: number): void {
    this.database
      .prepare(
        `INSERT OR REPLACE INTO evidence (run, virtual, at_ms, lap, slurry, glass, minutes, evidence)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?)`,
      )
      .run(
        kept.evidence.id,
        Number(virtual),
        atMs,
        lapId,
        slurryId ?? '',
        glassId,
        kept.minutes,
        JSON.stringify(kept.evidence),
      );
  }

  /** Everything learned with one recipe, oldest first; `exceptRun` leaves one run out. */
  of({ lapId, slurryId, glassId, virtual }: Recipe, exceptRun = ''): Taught[] {
    const rows = this.database
      .prepare(
        `SELECT minutes, evidence FROM evidence
         WHERE lap = ? AND slurry = ? AND glass = ? AND virtual = ? AND run <> ? ORDER BY at_ms, run`,
      )
      .all(lapId, slurryId ?? '', glassId, Number(virtual), exceptRun) as { minutes: number; evidence: string }[];
    return rows.map(({ minutes, evidence }) => ({ minutes, evidence: JSON.parse(evidence) as RunEvidence }));
  }

  /** Every recipe that something was learned with, the latest first. */
  recipes(): Recipe[] {
    const rows = this.database
      .prepare(
        'SELECT lap, slurry, glass, virtual FROM evidence GROUP BY lap, slurry, glass, virtual ORDER BY max(at_ms) DESC',
      )
      .all() as { lap: string; slurry: string; glass: string; virtual: number }[];
    return rows.map(({ lap, slurry, glass, virtual }) => {
      return { lapId: lap, slurryId: slurry === '' ? null : slurry, glassId: glass, virtual: virtual === 1 };
    });
  }

  close(): void {
    this.database.close();
  }
}
