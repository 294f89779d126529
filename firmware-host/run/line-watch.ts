/**
 * Counts what goes wrong on the line, both ways, and tells when it is too much. The controller stops by itself when more than 20
 * frames a second reach it damaged; what reaches this computer damaged only this computer can see.
 */
import type { LineTally, LinkCounters, StandStatus } from '../stand/stand-link';

/** As the controller's own limit (its SPEC, section 5). */
const MOST_A_SECOND = 20;

export class LineWatch {
  private readonly heard: { at: number; damaged: number }[] = [];
  private chip: { bootId: number; damaged: number } | null = null;
  /** Damaged frames that the controller told of, since this host began. */
  private chipDamaged = 0;
  private tally: LineTally = { damaged: 0, sentAgain: 0 };
  private before: LineTally = { damaged: 0, sentAgain: 0 };

  /** A run begins: what went wrong before is not its own. */
  begin(): void {
    this.before = this.total;
  }

  /** Frames damaged on the way, either way, and frames sent again; of this run. */
  get ofRun(): LineTally {
    const { damaged, sentAgain } = this.total;
    return { damaged: damaged - this.before.damaged, sentAgain: sentAgain - this.before.sentAgain };
  }

  /** A report of the controller. */
  report({ bootId, counters }: StandStatus): void {
    const damaged = damagedOf(counters);
    // Its counters begin at 0 with each boot, and stay at 255.
    const since = this.chip?.bootId === bootId ? this.chip.damaged : this.chip === null ? damaged : 0;
    this.chipDamaged += Math.max(0, damaged - since);
    this.chip = { bootId, damaged };
  }

  /** What this computer counts itself; true where more came damaged within the last second than may. */
  take(tally: LineTally, at: number): boolean {
    const { heard } = this;
    this.tally = tally;
    while (heard.length > 0 && at - heard[0]!.at > 1) heard.shift();
    const first = heard[0]?.damaged ?? tally.damaged;
    heard.push({ at, damaged: tally.damaged });
    return tally.damaged - first > MOST_A_SECOND;
  }

  private get total(): LineTally {
    return { damaged: this.tally.damaged + this.chipDamaged, sentAgain: this.tally.sentAgain };
  }
}

function damagedOf({ crc, length, link, aborted, overrun }: LinkCounters): number {
  return crc + length + link + aborted + overrun;
}
