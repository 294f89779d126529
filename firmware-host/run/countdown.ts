/**
 * The warning before anything moves: so many seconds in which everything stands still, the stand sounds, and anyone can stop it. It
 * runs in the stand's own time, so that a rehearsal in a hurry hurries here as well.
 */
import { type Procedure, until } from './procedure';

/** A clock that stands still for this much longer is no stand's. */
const SPARE_SECONDS = 5;

export class Countdown {
  private left: number | null = null;

  /** `seconds`: how long the stand is to warn. */
  constructor(private readonly seconds: number) {}

  /** Seconds until something moves; null while nothing is about to. */
  get startsInSeconds(): number | null {
    return this.left;
  }

  /** Warns; cut short it moves nothing and leaves nothing behind. */
  *run(): Procedure {
    let began: number | null = null;
    try {
      yield* until(
        ({ clockSeconds }) => {
          began = Math.min(began ?? clockSeconds, clockSeconds);
          this.left = Math.max(0, this.seconds - (clockSeconds - began));
          return this.left === 0;
        },
        this.seconds + SPARE_SECONDS,
        'a stand whose clock stands still',
      );
    } finally {
      this.left = null;
    }
  }
}
