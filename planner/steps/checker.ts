/**
 * The checker: judges a stream of segments against path, time law and stand before any of it is sent. A checksum on the wire
 * notices a flipped bit but no mistake of the planner, so this is written apart from the compiler, from the raw bytes and the
 * SPEC of the controller. Both ask the same path, law and kinematics, and round the place of the start alike. One pass,
 * constant memory.
 */
import type { Path } from '../path/types';
import type { Stand } from '../stand/types';
import type { TimeLaw } from '../timing/types';
import { MotionCheck } from './check-motion';
import { PlaceCheck } from './check-place';
import { RecordCheck } from './check-records';
import { RestCheck } from './check-rests';
import { FindingList } from './finding-list';
import type { Finding } from './findings';
import type { StepCounts } from './kinematics';
import { SEGMENT_BYTES } from './segment';

export interface CheckOptions {
  /**
   * How the 1.5-step bound is checked inside a segment: by a bound from the path's derivatives (and each tick only where that
   * does not suffice), or at every tick of every segment.
   */
  mode: 'quick' | 'every tick';
  /** Where the axes stand at the beginning; left out: where the path begins. */
  fromSteps?: StepCounts;
  /** Findings after which it stops looking; 20 unless given. */
  atMost?: number;
}

export class SegmentChecker {
  private readonly list: FindingList;
  private readonly records: RecordCheck;
  private readonly rests: RestCheck;
  private readonly place: PlaceCheck;
  private readonly motion: MotionCheck;
  private segment = 0;
  private tick = 0;

  constructor(path: Path, law: TimeLaw, stand: Stand, options: CheckOptions) {
    this.list = new FindingList(options.atMost ?? 20, law, stand.tickHz);
    this.records = new RecordCheck(this.list, stand);
    this.rests = new RestCheck(this.list, law, stand.tickHz);
    this.place = new PlaceCheck(this.list, path, law, stand, options);
    this.motion = new MotionCheck(this.list, stand, this.place.startSteps, this.place.plannedStart);
  }

  /** Takes the next bytes of the stream; false when there are findings enough and it has stopped looking. */
  take(batch: Uint8Array): boolean {
    if (batch.length % SEGMENT_BYTES !== 0) {
      this.list.at(this.segment, this.tick);
      this.list.add('broken bytes', -1, batch.length % SEGMENT_BYTES, 0, 'the stream is not made of whole segments');
    }
    for (let offset = 0; offset + SEGMENT_BYTES <= batch.length; offset += SEGMENT_BYTES) {
      if (this.list.full) return false;
      this.list.at(this.segment, this.tick + batch[offset]!);
      if (this.rests.ended) {
        this.list.add('goes on', -1, 1, 0, 'segments follow after the end of the walk');
        this.list.close();
        return false;
      }
      // A record that is no segment (0 ticks, say) cannot be walked, so nothing after it has a place.
      if (!this.records.check(batch, offset)) {
        this.list.close();
        return false;
      }
      const before = this.tick;
      this.tick += batch[offset]!;
      this.rests.check(batch[offset + 1]!, this.tick);
      this.place.check(batch, offset, before, this.rests.lastRestSeconds);
      this.motion.check(batch, offset);
      this.segment++;
    }
    return !this.list.full;
  }

  /** What comes from now on is to follow a law with an earlier end, which agrees with the old one up to here. */
  changeLaw(law: TimeLaw): void {
    this.rests.changeLaw(law);
    this.place.changeLaw(law);
  }

  /** Call at the end of the stream: what is missing is found here. */
  finish(): readonly Finding[] {
    if (!this.list.full) {
      this.list.at(this.segment, this.tick);
      this.rests.finish(this.tick);
      this.place.finish();
      this.motion.finish();
    }
    return this.list.findings;
  }
}

/** The findings of a whole stream; none means that it may be sent. */
export function checkSegments(
  batches: Iterable<Uint8Array>,
  path: Path,
  law: TimeLaw,
  stand: Stand,
  options: CheckOptions,
): readonly Finding[] {
  const checker = new SegmentChecker(path, law, stand, options);
  for (const batch of batches) if (!checker.take(batch)) break;
  return checker.finish();
}
