/**
 * The segment: the only thing the controller walks. Eight bytes, the same in the planner, on the wire and in the ring of the
 * chip (firmware-host/controller/SPEC.md is the authority; this file and core/segment.h follow it).
 *
 *   byte 0     ticks       20..255 path ticks
 *   byte 1     flags       bit 0: planned rest at the end of this segment; all others 0
 *   byte 2     directions  bit a set: axis a steps in the negative sense
 *   byte 3..7  steps       of axis 0..4 in this segment, each at most ticks/2
 */
export const SEGMENT_BYTES = 8;
export const SEGMENT_MIN_TICKS = 20;
export const SEGMENT_MAX_TICKS = 255;
export const FLAG_REST = 0x01;

export interface Segment {
  ticks: number;
  flags: number;
  directions: number;
  steps: readonly number[];
}
