/**
 * Wears the glass by the steps that were made, not by the plan: places of lap and glass are taken from the mechanism some hundred
 * times a second, with every slip and push in them. A whole stroke whose places all lie on the planned path is worn as the planned
 * stroke, computed once and turned to where it fell; whatever else rubs is worn point by point. Where both apply they agree to 0.3 % of
 * the deepest place (test/virtual/executed.test.ts).
 *
 * Not in it: what a lap does that stands still (it presses a mark), what speed and film do to the coefficient, and the lap's facets.
 */
import type { Path } from '../../../planner/path/types';
import type { Stroke } from '../../../planner/removal/strokes';
import type { WorkPoint } from '../../../planner/removal/work-points';
import { addTurned, emptyMap, type RoundMap } from './round';
import { coefficientAt, type GlassTruth } from './truth';
import type { PathWear } from './wear';
import { POINT_STEP_MM } from './wear';

const TURN = 2 * Math.PI;

/** Where lap and glass stand, as the mechanism has it. */
export interface RubPlace {
  xMm: number;
  yMm: number;
  /** Of turntable and lap past their marks; they go on counting over whole turns. */
  turntableTurns: number;
  lapTurns: number;
  /** Seconds of the stand's time. */
  seconds: number;
}

/** A place this near the planned one is on the path: some steps of a slide (1.5 from rounding and sag, some from the turntable's own). */
const NEAR_MM = 0.1;
/** Of the lap's turning since the stroke began, turns; a step and a half of the demo stand's lap are 0.00016. */
const NEAR_TURNS = 0.001;
/** So near its end, turns, a stroke is over: two steps of the demo stand's turntable. */
const END_TURNS = 1.4e-5;
/** A stretch that never ends as a stroke is worn in pieces of so many places. */
const MOST_PLACES = 600;
/** A way counts as straight where its ends lie this share of it apart. */
const STRAIGHT = 0.999;

export class ExecutedWear {
  private readonly sample = new Float64Array(4);
  private readonly path: Path;
  /** Places since the stroke began. */
  private places: RubPlace[] = [];
  /** Turns walked of the program less those that the turntable counts. */
  private offsetTurns = 0;
  private stroke = 0;
  /** Every place of this stroke so far lies on the path, from its very begin. */
  private clean = false;
  /** Where the path's lap stands against the real one since the stroke began. */
  private lapOffset = 0;
  private minutesAtBegin: number;
  private lastSeconds = 0;

  /**
   * @param minutes that the lap has worked on this glass
   * @param worn is given what was taken off, nm, in the glass's frame
   */
  constructor(
    private readonly wear: PathWear,
    private readonly truth: GlassTruth,
    public minutes: number,
    private readonly worn: (depth: RoundMap) => void,
  ) {
    this.path = wear.path;
    this.minutesAtBegin = minutes;
  }

  /** The lap touches the glass from here on; `turnsWalked` as the host believes it, to tell which turn of the program this is. */
  touch(place: RubPlace, turnsWalked: number): void {
    this.lift();
    const { strokes } = this.wear;
    this.offsetTurns = Math.round(turnsWalked - place.turntableTurns);
    const turns = place.turntableTurns + this.offsetTurns;
    this.stroke = 0;
    while (this.stroke < strokes.length && strokes[this.stroke]!.to - END_TURNS <= turns) this.stroke++;
    this.lastSeconds = place.seconds;
    this.begin(place);
  }

  /** It has rubbed on to here. Places must follow each other closely: a few millimetres of the lap's way. */
  rub(place: RubPlace): void {
    let from = this.places[this.places.length - 1];
    if (from === undefined) return;
    const seconds = place.seconds - this.lastSeconds;
    this.lastSeconds = place.seconds;
    if (!moved(from, place)) return;
    this.minutes += seconds / 60;
    for (let stroke = this.wear.strokes[this.stroke]; stroke !== undefined; stroke = this.wear.strokes[this.stroke]) {
      const end = stroke.to - this.offsetTurns;
      if (place.turntableTurns < end - END_TURNS) break;
      // The stroke's end lies between two places; one that is as good as there is taken for it.
      const over = place.turntableTurns - end;
      const cut: RubPlace =
        over <= END_TURNS ? place : between(from, place, 1 - over / (place.turntableTurns - from.turntableTurns));
      this.add(cut);
      this.finish(stroke);
      this.stroke++;
      this.begin(cut);
      if (cut === place) return;
      from = cut;
    }
    this.add(place);
    if (this.places.length < MOST_PLACES) return;
    this.pointByPoint();
    this.begin(place);
  }

  /** The lap is off the glass. */
  lift(): void {
    this.pointByPoint();
    this.places = [];
  }

  private begin(place: RubPlace): void {
    this.places = [place];
    this.minutesAtBegin = this.minutes;
    const stroke = this.wear.strokes[this.stroke];
    const turns = place.turntableTurns + this.offsetTurns;
    this.clean = stroke !== undefined && Math.abs(turns - stroke.from) <= END_TURNS;
    if (!this.clean) return;
    this.path.sample(turns, this.sample);
    this.lapOffset = this.sample[3]! - place.lapTurns;
    this.clean = this.onPath(place);
  }

  private add(place: RubPlace): void {
    this.places.push(place);
    if (this.clean) this.clean = this.onPath(place);
  }

  private onPath({ xMm, yMm, turntableTurns, lapTurns }: RubPlace): boolean {
    const { path, sample } = this;
    path.sample(turntableTurns + this.offsetTurns, sample);
    return (
      Math.abs(sample[1]! - xMm) <= NEAR_MM &&
      Math.abs(sample[2]! - yMm) <= NEAR_MM &&
      Math.abs(sample[3]! - lapTurns - this.lapOffset) <= NEAR_TURNS
    );
  }

  /** A stroke has come to its end. */
  private finish(stroke: Stroke): void {
    if (!this.clean) {
      this.pointByPoint();
      return;
    }
    const depth = emptyMap(this.wear.wear.rings);
    const begun = this.places[0]!.turntableTurns;
    addTurned(depth, this.wear.wholeStroke(stroke), -TURN * begun, coefficientAt(this.truth, this.minutesAtBegin));
    this.worn(depth);
  }

  private pointByPoint(): void {
    const { places } = this;
    if (places.length < 2) return;
    const points: WorkPoint[] = [];
    for (let from = 0; from + 1 < places.length; ) {
      const to = straightTo(places, from);
      const point = this.pointBetween(places[from]!, places[to]!);
      if (point) points.push(point);
      from = to;
    }
    const depth = emptyMap(this.wear.wear.rings);
    addTurned(depth, this.wear.wear.over(points), 0, coefficientAt(this.truth, this.minutesAtBegin));
    this.worn(depth);
  }

  /** The lap's way between two places as one point in their middle; null where it tips. */
  private pointBetween(a: RubPlace, b: RubPlace): WorkPoint | null {
    const turned = TURN * (b.turntableTurns - a.turntableTurns);
    const x = (a.xMm + b.xMm) / 2;
    const y = (a.yMm + b.yMm) / 2;
    const centreMm = Math.hypot(x, y);
    const cos = centreMm > 0 ? x / centreMm : 1;
    const sin = centreMm > 0 ? y / centreMm : 0;
    // Lap over turntable, at the lap's centre.
    const dx = b.xMm - a.xMm + turned * y;
    const dy = b.yMm - a.yMm - turned * x;
    const stroke = this.wear.strokes[Math.min(this.stroke, this.wear.strokes.length - 1)];
    const free = stroke !== undefined && this.wear.isFree(stroke);
    const spin = free ? 0 : TURN * (b.lapTurns - a.lapTurns) - turned;
    const motion = { out: dx * cos + dy * sin, along: dy * cos - dx * sin, spin };
    const { solver } = this.wear.wear;
    const pressure = solver.solve(centreMm, motion);
    if (pressure === null) return null;
    const swinging = Math.hypot(motion.out, motion.along) < 2 * Math.abs(spin) * solver.reachMm;
    return {
      turns: 1,
      centreMm,
      azimuth: Math.atan2(y, x) - (TURN * (a.turntableTurns + b.turntableTurns)) / 2,
      lapAngle: 0,
      motion,
      pressure,
      uneven: swinging || solver.lifts(pressure),
    };
  }
}

function moved(a: RubPlace, b: RubPlace): boolean {
  return a.xMm !== b.xMm || a.yMm !== b.yMm || a.turntableTurns !== b.turntableTurns || a.lapTurns !== b.lapTurns;
}

/** How far from a place the lap goes on straight, at most POINT_STEP_MM: over a reversal the way there and back would be lost. */
function straightTo(places: readonly RubPlace[], from: number): number {
  let to = from + 1;
  let way = wayMm(places[from]!, places[to]!);
  for (; to + 1 < places.length; to++) {
    way += wayMm(places[to]!, places[to + 1]!);
    if (way > POINT_STEP_MM || wayMm(places[from]!, places[to + 1]!) < STRAIGHT * way) break;
  }
  return to;
}

/** Way of the lap's centre over the glass, mm, straight. */
function wayMm(a: RubPlace, b: RubPlace): number {
  const turned = TURN * (b.turntableTurns - a.turntableTurns);
  return Math.hypot(b.xMm - a.xMm + turned * a.yMm, b.yMm - a.yMm - turned * a.xMm);
}

function between(a: RubPlace, b: RubPlace, share: number): RubPlace {
  const at = (from: number, to: number): number => from + share * (to - from);
  return {
    xMm: at(a.xMm, b.xMm),
    yMm: at(a.yMm, b.yMm),
    turntableTurns: at(a.turntableTurns, b.turntableTurns),
    lapTurns: at(a.lapTurns, b.lapTurns),
    seconds: at(a.seconds, b.seconds),
  };
}
