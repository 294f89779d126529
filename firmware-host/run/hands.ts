/** What the host does with a stand, as procedures: each is complete only when the stand's own reports show it. */
import type { Stand } from '../../planner/stand/types';
import type { OpenOptions, StandLink, StandStatus, StreamPlace } from '../stand/stand-link';
import { Feeder, type Walk } from './feeder';
import { type Procedure, Trouble, until } from './procedure';
import type { Travel } from './travel';
import { STOP_CAUSE_WORDS } from './words';

/** What the stand is opened with, beside what the stand's own description says. */
const ENABLE_DELAY_MS = 200;
/** A report may have left before the last command arrived; two reports this far apart cannot both have. */
const SETTLED_SECONDS = 0.1;
const ANSWER_SECONDS = 1.5;

export class Hands {
  constructor(
    readonly link: StandLink,
    readonly stand: Stand,
    /** As the identity of the stand tells. */
    readonly fewInputs: boolean,
  ) {}

  /** Comes to a standstill along the path; a search that was under way is over. */
  *ease(): Procedure {
    this.link.ease();
    let since: number | null = null;
    const { seek } = yield* until(
      (status) => {
        // A controller that restarted meanwhile counts from 0 again.
        since = Math.min(since ?? status.clockSeconds, status.clockSeconds);
        return atRest(status) && status.clockSeconds - since >= SETTLED_SECONDS;
      },
      this.stand.rampSeconds + 3,
      'a stand that does not come to rest',
    );
    if (seek.on) this.link.seek(null);
  }

  *lift(direction: 'up' | 'down'): Procedure {
    // A controller that still takes the host for silent holds the lap up.
    if (direction === 'down') yield* until((status) => !status.hostSilent, ANSWER_SECONDS, 'a silent host');
    this.link.lift(direction);
    yield* until(
      (status) => status.lift === direction,
      this.stand.lift.timeoutSeconds + ANSWER_SECONDS,
      `a lift that does not arrive ${direction}`,
    );
  }

  *drivesOn(): Procedure {
    this.link.drives(true);
    yield* until(
      (status) => status.drivesOn && status.drivesReady,
      ENABLE_DELAY_MS / 1000 + ANSWER_SECONDS,
      'drives that do not come on',
    );
  }

  *clearLatch(): Procedure {
    const { link } = this;
    const { latchedStop } = yield* until(() => true, 0, '');
    let asked = false;
    yield* until(
      (status) => {
        // Not before the walk is at rest: until then the controller refuses.
        if (!asked && status.latchedStop !== null && status.atRest) {
          asked = true;
          link.clear();
        }
        return status.latchedStop === null;
      },
      ANSWER_SECONDS,
      `${latchedStop === null ? 'what stopped it' : STOP_CAUSE_WORDS[latchedStop]}, which is still there`,
    );
  }

  /** Drops what is queued; numbers start at 0. Returns the place that stood. */
  *flush(): Procedure<StreamPlace> {
    let place: StreamPlace | null = null;
    let refusal: string | null = null;
    this.link.flush().then(
      (stood) => {
        place = stood;
      },
      (error: Error) => {
        refusal = error.message;
      },
    );
    yield* until(
      () => {
        if (refusal !== null) throw new Trouble(`a queue that cannot be emptied (${refusal})`);
        return place !== null;
      },
      ANSWER_SECONDS,
      'a stand that does not empty its queue',
    );
    return place!;
  }

  /** Walks a move to its end, lap up; the queue must be empty before and is again after. Returns the steps reached. */
  *move(walk: Walk, travel: Travel): Procedure<readonly number[]> {
    const feeder = new Feeder(this.link, walk, this.stand, travel);
    let paced = false;
    const limit = walk.law.durationSeconds + 2 * this.stand.rampSeconds + 5;
    yield* until(
      (status) => {
        feeder.feed();
        if (!paced && (feeder.allSent || status.segmentsAccepted > 0)) {
          paced = true;
          this.link.pace(1);
        }
        return status.atRest && feeder.isEnd(status.place);
      },
      limit,
      'a move that does not end',
    );
    const stood = yield* this.flush();
    const steps = feeder.stepsAt(stood);
    travel.endStream(stood);
    return steps;
  }
}

export function atRest(status: StandStatus): boolean {
  return status.atRest && status.paceTarget === 0;
}

export function openOptions(stand: Stand): OpenOptions {
  return {
    rampMs: Math.round(stand.rampSeconds * 1000),
    hostSilentMs: stand.hostSilentMs,
    liftTimeoutMs: Math.round(stand.lift.timeoutSeconds * 1000),
    enableDelayMs: ENABLE_DELAY_MS,
  };
}
