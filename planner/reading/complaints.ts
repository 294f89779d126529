/** Collects what is wrong with one file, each with the place a person must look at. */
import type { LineCounter } from 'yaml';
import type { Complaint } from '../program/types';

/** More than this helps nobody; the last complaint then says how many were left out. */
const MOST_COMPLAINTS = 100;

export class Complaints {
  private readonly list: Complaint[] = [];
  private leftOut = 0;

  constructor(
    readonly file: string,
    private readonly lines: LineCounter,
  ) {}

  /** `offset` counts UTF-16 units from the file's start, as the YAML library does. */
  add(offset: number, field: string, message: string): void {
    if (this.list.length >= MOST_COMPLAINTS) {
      this.leftOut += 1;
      return;
    }
    const { line, col } = this.lines.linePos(offset);
    this.list.push({ file: this.file, line, column: col, field, message });
  }

  lineOf(offset: number): number {
    return this.lines.linePos(offset).line;
  }

  get any(): boolean {
    return this.list.length > 0;
  }

  /** In the order of the file. */
  all(): Complaint[] {
    const sorted = [...this.list].sort((a, b) => a.line - b.line || a.column - b.column);
    const last = sorted[sorted.length - 1];
    if (last && this.leftOut > 0) {
      const message = `${this.leftOut} more complaints are not listed. Mend the first ones; the others often go with them.`;
      sorted.push({ ...last, field: '', message });
    }
    return sorted;
  }
}

/** Text out of a file, safe to show: no control characters, never long. */
export function shown(text: string, longest = 40): string {
  const clean = text.replace(/[^\p{L}\p{N}\p{P}\p{S}\p{Zs}]/gu, '\ufffd');
  return clean.length > longest ? `${clean.slice(0, longest)}...` : clean;
}
