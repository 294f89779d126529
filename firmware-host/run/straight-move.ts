/**
 * A move with the lap up, from one place straight to another: how axes are brought to where a walk begins, and how their
 * references are sought. It is a path and a time law like any other, so the same feeder walks it.
 */
import { type Path, PLACE, PLACE_SIZE, type Place } from '../../planner/path/types';
import type { Stand } from '../../planner/stand/types';
import type { TimeLaw } from '../../planner/timing/types';
import type { Walk } from './feeder';

/** Share of each axis's speed and acceleration used; nothing hurries while the lap is up. */
const SPEED_SHARE = 0.5;
const ACCELERATION_SHARE = 0.3;
/** Peak slope and bend of the rest-to-rest law 10 x^3 - 15 x^4 + 6 x^5 (computed from the formula). */
const PEAK_SPEED = 1.875;
const PEAK_BEND = 5.7735;
const SHORTEST_SECONDS = 0.05;

function asArray(place: Place): number[] {
  const out: number[] = [];
  out[PLACE.turntableTurns] = place.turntableTurns;
  out[PLACE.xMm] = place.xMm;
  out[PLACE.yMm] = place.yMm;
  out[PLACE.lapTurns] = place.lapTurns;
  return out;
}

function straightPath(from: number[], to: number[]): Path {
  const sample = (u: number, out: Float64Array): void => {
    const share = Math.min(1, Math.max(0, u));
    for (let i = 0; i < PLACE_SIZE; i++) out[i] = from[i]! + (to[i]! - from[i]!) * share;
  };
  return {
    turns: 1,
    stints: [],
    rests: [],
    at(u) {
      const out = new Float64Array(PLACE_SIZE);
      sample(u, out);
      return {
        turntableTurns: out[PLACE.turntableTurns]!,
        xMm: out[PLACE.xMm]!,
        yMm: out[PLACE.yMm]!,
        lapTurns: out[PLACE.lapTurns]!,
      };
    },
    sample,
    derivatives(_u, out) {
      out.fill(0);
      for (let i = 0; i < PLACE_SIZE; i++) out[i] = to[i]! - from[i]!;
    },
  };
}

/** Rest to rest with speed and acceleration zero at both ends; `turns` 0..1 is the share of the move done. */
function smoothLaw(seconds: number): TimeLaw {
  const share = (t: number): number => Math.min(1, Math.max(0, t / seconds));
  const turnsAt = (t: number): number => {
    const x = share(t);
    return x ** 3 * (10 - 15 * x + 6 * x * x);
  };
  return {
    fromTurns: 0,
    toTurns: 1,
    durationSeconds: seconds,
    cruiseTurnsPerSecond: PEAK_SPEED / seconds,
    restSeconds: [],
    turnsAt,
    speedAt: (t) => (30 * share(t) ** 2 * (1 - share(t)) ** 2) / seconds,
    secondsAt(turns) {
      let low = 0;
      let high = seconds;
      for (let i = 0; i < 50; i++) {
        const middle = (low + high) / 2;
        if (turnsAt(middle) < turns) low = middle;
        else high = middle;
      }
      return (low + high) / 2;
    },
  };
}

/** The move as a walk; null where the axes are there already. `seconds`: at least so long (a slow search). */
export function straightMove(fromPlace: Place, toPlace: Place, stand: Stand, seconds = 0): Walk | null {
  const from = asArray(fromPlace);
  const to = asArray(toPlace);
  const { turntable, stroke, radial, lapTurn } = stand.axes;
  const axes = [turntable, stroke, radial, lapTurn];
  let needed = Math.max(SHORTEST_SECONDS, seconds);
  let steps = 0;
  for (let i = 0; i < PLACE_SIZE; i++) {
    const axis = axes[i]!;
    const distance = Math.abs(to[i]! - from[i]!);
    steps = Math.max(steps, distance * axis.stepsPerUnit);
    needed = Math.max(
      needed,
      (PEAK_SPEED * distance) / (SPEED_SHARE * axis.maxSpeed),
      Math.sqrt((PEAK_BEND * distance) / (ACCELERATION_SHARE * axis.maxAcceleration)),
    );
  }
  return steps < 0.5 ? null : { path: straightPath(from, to), law: smoothLaw(needed) };
}
