/** Measurements kept in the logbook, each as the text of its file, so that what was noted can always be reduced anew. */
import { type Database, openDatabase } from './database';

export interface NewMeasurement {
  atMs: number;
  glassId: string;
  text: string;
  virtual: boolean;
}

export interface MeasurementRow extends NewMeasurement {
  id: number;
}

export class MeasurementBook {
  private constructor(private readonly database: Database) {}

  /** Throws LogbookError. */
  static open(file: string): MeasurementBook {
    return new MeasurementBook(openDatabase(file));
  }

  /** Returns its number once the row is on the disc. */
  keep({ atMs, glassId, text, virtual }: NewMeasurement): number {
    const { lastInsertRowid } = this.database
      .prepare('INSERT INTO measurements (virtual, at_ms, glass, text) VALUES (?, ?, ?, ?)')
      .run(Number(virtual), atMs, glassId, text);
    return Number(lastInsertRowid);
  }

  one(id: number): MeasurementRow | null {
    const row = this.database.prepare('SELECT * FROM measurements WHERE id = ?').get(id);
    return row === undefined ? null : rowOf(row as Row);
  }

  /** The latest, newest first. */
  latest(limit: number): MeasurementRow[] {
    const rows = this.database.prepare('SELECT * FROM measurements ORDER BY id DESC LIMIT ?').all(limit);
    return (rows as Row[]).map(rowOf);
  }

  close(): void {
    this.database.close();
  }
}

interface Row {
  id: number;
  virtual: number;
  at_ms: number;
  glass: string;
  text: string;
}

function rowOf({ id, virtual, at_ms: atMs, glass: glassId, text }: Row): MeasurementRow {
  return { id, atMs, glassId, text, virtual: virtual === 1 };
}
