/**
 * One at a time, and of those that wait only the newest: so a slow answer never queues up behind a dragging hand, and the last word
 * is always reckoned.
 */
export class Latest<Ask> {
  private busy = false;
  private waiting: Ask | null = null;

  constructor(private readonly send: (ask: Ask) => void) {}

  ask(ask: Ask): void {
    if (this.busy) {
      this.waiting = ask;
      return;
    }
    this.busy = true;
    this.send(ask);
  }

  /** Call when the answer, or word that there is none, has come. */
  answered(): void {
    const next = this.waiting;
    this.waiting = null;
    this.busy = next !== null;
    if (next !== null) this.send(next);
  }
}
