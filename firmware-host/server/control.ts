/**
 * The one page in control. Others watch; everyone may stop. Taking control from someone is allowed (the optician may have left the
 * laptop in the other room) but is told to both and written into what happened.
 */
export interface Holder {
  socketId: string;
  name: string;
}

export class Control {
  private held: Holder | null = null;

  get holder(): Holder | null {
    return this.held;
  }

  /** Returns who had it before, if that was someone else. */
  take(socketId: string, name: string): Holder | null {
    const before = this.held;
    this.held = { socketId, name };
    return before && before.socketId !== socketId ? before : null;
  }

  leave(socketId: string): void {
    if (this.held?.socketId === socketId) this.held = null;
  }

  has(socketId: string): boolean {
    return this.held?.socketId === socketId;
  }
}
