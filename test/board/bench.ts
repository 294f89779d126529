/**
 * What the suite needs of the world around a board on a table: a line of bytes, time, a reset line and a person. Everything here
 * blocks, so that a step reads as the conversation it is; test/board/blocking-bench.ts does it in a thread of its own.
 */
export interface Bench {
  /** Writes, lets at least so many seconds go by, and returns what came meanwhile. Throws Interrupted, once, and LineGone. */
  exchange(bytes: Uint8Array, seconds: number): Uint8Array;
  /** Seconds, as they stood when the last exchange ended. */
  now(): number;
  /** Pulses the reset line of the board; false where this line has none. Throws as `exchange` does. */
  reset(): boolean;
  /** Shows words to the person. */
  tell(words: string): void;
  /** The oldest line the person typed and nobody took yet; what was typed during an exchange is here after it. */
  typed(): string | undefined;
}

/** The person wants to leave. */
export class Interrupted extends Error {
  override readonly name = 'Interrupted';
}

/** The port is gone; the message is for a person. */
export class LineGone extends Error {
  override readonly name = 'LineGone';
}

/** The person leaves this step out. */
export class LeftOut extends Error {
  override readonly name = 'LeftOut';
}

/** The board cannot be brought back to where a step begins; the message is for a person. */
export class BoardLost extends Error {
  override readonly name = 'BoardLost';
}

/** What a person types to leave a step out. */
export const NO = 'no';

const LOOK_SECONDS = 0.05;
const NOTHING = new Uint8Array();

/** Asks and waits for a line, which comes back trimmed. Throws LeftOut where it is "no" and that is an answer. */
export function ask(bench: Bench, words: string, mayLeaveOut = true): string {
  while (bench.typed() !== undefined);
  bench.tell(words);
  for (;;) {
    bench.exchange(NOTHING, LOOK_SECONDS);
    const line = bench.typed()?.trim();
    if (line === undefined) continue;
    if (mayLeaveOut && line.toLowerCase() === NO) throw new LeftOut();
    return line;
  }
}
