/**
 * Which stream of segments is being walked, kept with every place in the logbook. A host that was killed can thus be followed by
 * another: while the controller keeps its power it still counts the segments of that stream, and what its number means is found by
 * writing the same stream once more. Path, law and the steps it began at make the same segments every time.
 */
import type { StepCounts } from '../../planner/steps/kinematics';
import { SegmentLedger } from '../../planner/steps/ledger';
import { SEGMENT_BYTES } from '../../planner/steps/segment';
import { SegmentWriter } from '../../planner/steps/writer';
import { widenNear } from '../stand/numbering';
import type { StandIdentity, StreamPlace } from '../stand/stand-link';
import type { RunPlan } from './plan';

/** What a walk was made of, and where it was seen. */
export interface StreamMark {
  fromTurns: number;
  /** Whole steps of each axis where it began. */
  fromSteps: StepCounts;
  /** Its end as first planned, then every other end it was given, and after how many segments. */
  ends: readonly { afterSegments: number; toTurns: number }[];
  place: StreamPlace;
}

/** A mark with the link that its numbers belong to. */
export interface KeptMark extends StreamMark {
  bootId: number;
  link: number;
}

/**
 * A place is kept every 5 s, and a host that is gone is missed within seconds: so many segments can have been walked since at most, at
 * under 2,500 a second. A number further off belongs to another stream of the same link, whose own mark was never written.
 */
const MOST_SEGMENTS_SINCE = 30_000;
const BATCH_SEGMENTS = 4096;

/** Where the controller that was found now says that the walk of a mark stands; null where it cannot tell any more. */
export function placeFound(mark: KeptMark | null, { bootId, found }: StandIdentity): StreamPlace | null {
  if (mark === null || mark.bootId !== bootId || mark.link !== found.link) return null;
  const segment = widenNear(mark.place.segment + 1, found.segmentsBegun) - 1;
  // Nothing begun: nothing was walked, or the walk has ended, its queue was dropped, and the numbers have begun anew.
  if (segment < Math.max(0, mark.place.segment) || segment > mark.place.segment + MOST_SEGMENTS_SINCE) return null;
  return { segment, ticksLeft: found.ticksLeft };
}

/** Turns walked at a place of a marked stream; null where the stream never got so far. */
export function turnsOf(mark: StreamMark, { segment, ticksLeft }: StreamPlace, plan: RunPlan): number | null {
  const { path, stand } = plan;
  const [first, ...others] = mark.ends;
  if (first === undefined) return null;
  const law = plan.lawOf(mark.fromTurns, first.toTurns);
  const writer = new SegmentWriter(path, law, stand, mark.fromSteps);
  const ledger = new SegmentLedger(path, law, stand, { fromSteps: mark.fromSteps });
  const batch = new Uint8Array(BATCH_SEGMENTS * SEGMENT_BYTES);
  while (!ledger.has(segment)) {
    const next = others[0];
    if (next !== undefined && ledger.end >= next.afterSegments) {
      const shorter = plan.lawOf(mark.fromTurns, next.toTurns);
      writer.changeLaw(shorter);
      ledger.changeLaw(shorter);
      others.shift();
      continue;
    }
    if (writer.done) return null;
    const room = Math.min(BATCH_SEGMENTS, (next?.afterSegments ?? Number.POSITIVE_INFINITY) - ledger.end);
    ledger.append(batch.subarray(0, writer.fill(batch.subarray(0, room * SEGMENT_BYTES))));
    ledger.forgetBefore(Math.min(segment, ledger.end) - 1);
  }
  return ledger.turnsAt(segment, ticksLeft);
}
