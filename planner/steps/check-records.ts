import { AXES, AXIS_COUNT, type Stand } from '../stand/types';
import type { FindingList } from './finding-list';

/** The rules that a segment keeps by itself and beside the one before it (controller's SPEC, section 1). */
export class RecordCheck {
  private readonly axisMissing: boolean[];
  private readonly lastSteps = new Int32Array(AXIS_COUNT);
  private lastTicks = 0;
  private lastDirections = -1;

  constructor(
    private readonly list: FindingList,
    stand: Stand,
  ) {
    this.axisMissing = AXES.map((name) => stand.axes[name] === undefined);
  }

  /** False when the record cannot be walked at all. */
  check(bytes: Uint8Array, offset: number): boolean {
    const list = this.list;
    const ticks = bytes[offset]!;
    const flags = bytes[offset + 1]!;
    const directions = bytes[offset + 2]!;
    if (ticks < 20) {
      list.add('ticks', -1, ticks, 20, `a segment of ${ticks} ticks is shorter than the 20 the line can carry`);
      if (ticks === 0) return false;
    }
    if (flags > 1) list.add('flags', -1, flags, 1, `unknown flags ${flags}`);
    if (directions > 31) list.add('directions', -1, directions, 31, `unknown direction bits ${directions}`);
    for (let axis = 0; axis < AXIS_COUNT; axis++) {
      const steps = bytes[offset + 3 + axis]!;
      if (steps > 0) {
        if (this.axisMissing[axis]) list.add('steps', axis, steps, 0, 'steps for an axis the stand does not have');
        if (steps * 2 > ticks)
          list.add('steps', axis, steps, ticks / 2, `${steps} steps in ${ticks} ticks are too many`);
        if (flags & 1 && steps * 16 > ticks) {
          list.add('fast rest', axis, steps, ticks / 16, `${steps} steps in the ${ticks} ticks before a rest`);
        }
      }
      if (this.lastDirections >= 0 && ((directions ^ this.lastDirections) >> axis) & 1) this.turned(axis, steps, ticks);
      this.lastSteps[axis] = steps;
    }
    this.lastTicks = ticks;
    this.lastDirections = directions;
    return true;
  }

  /** The direction bit of an axis differs from the segment before. */
  private turned(axis: number, steps: number, ticks: number): void {
    if (steps === 0) this.list.add('idle direction', axis, 1, 0, 'changes direction without a step');
    const before = this.lastSteps[axis]!;
    if (steps * 4 > ticks) {
      this.list.add('sign rule', axis, steps, ticks / 4, `turns round into ${steps} steps in ${ticks} ticks`);
    } else if (before * 4 > this.lastTicks) {
      this.list.add(
        'sign rule',
        axis,
        before,
        this.lastTicks / 4,
        `turns round after ${before} steps in ${this.lastTicks} ticks`,
      );
    }
  }
}
