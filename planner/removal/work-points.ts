/**
 * Quadrature points along a stretch of the path: where the lap is, how it moves over the glass, how it presses. The pace is
 * not in them: everything is per turn walked.
 */
import type { Path } from '../path/types';
import type { ContactSolver, RelativeMotion } from './contact';
import type { LinearPressure } from './contact-region';

const TURN = 2 * Math.PI;

/** The frame of pressure and motion is that of ./contact-region: out = away from the axis, along = anticlockwise. */
export interface WorkPoint {
  /** Turns walked that this point stands for. */
  turns: number;
  /** Distance of the lap's centre from the axis, mm. */
  centreMm: number;
  /** Azimuth of the lap's centre in the glass's frame as it lay at the begin of the stretch, radians. */
  azimuth: number;
  /** Angle of the lap in that same frame, less its angle at the begin of the stretch, radians. */
  lapAngle: number;
  motion: RelativeMotion;
  pressure: LinearPressure;
  /** Pressure or speed bend sharply under the lap: part of it has lifted off, or it turns about a place near it. */
  uneven: boolean;
}

/** The lap tips, or stands beside the glass. */
export interface Tipping {
  tipsAtMm: number;
  motion: RelativeMotion;
}

export interface Stretch {
  from: number;
  to: number;
  /** Points along it. */
  count: number;
  /**
   * Friction turns the lap: it goes round with the turntable, 1:1. Then all of the face moves over the glass at one
   * velocity V and the torque of friction is mu times |(int x p dA) x V/|V||; the balance of moments makes int x p dA nought
   * or, with a raised pivot, parallel to V, so the torque vanishes: wholly on the glass, over its rim and lifted alike.
   */
  free: boolean;
}

/** Points in the middles of equal parts of the stretch; stops at the first place where the lap tips. */
export function workPoints(path: Path, stretch: Stretch, solver: ContactSolver): WorkPoint[] | Tipping {
  const { from, to, count, free } = stretch;
  const place = new Float64Array(4);
  const rates = new Float64Array(8);
  path.sample(from, place);
  const startTurntable = place[0]! * TURN;
  const startLap = place[3]!;
  const points: WorkPoint[] = [];
  for (let i = 0; i < count; i++) {
    const u = from + ((i + 0.5) / count) * (to - from);
    path.sample(u, place);
    path.derivatives(u, rates);
    const turned = place[0]! * TURN - startTurntable;
    const x = place[1]!;
    const y = place[2]!;
    const turntableRate = rates[0]! * TURN;
    const centreMm = Math.hypot(x, y);
    const azimuth = Math.atan2(y, x);
    // Lap over turntable, at the lap's centre: v = C' - turntable x C.
    const vx = rates[1]! + turntableRate * y;
    const vy = rates[2]! - turntableRate * x;
    const cos = centreMm > 0 ? x / centreMm : 1;
    const sin = centreMm > 0 ? y / centreMm : 0;
    const motion = {
      out: vx * cos + vy * sin,
      along: vy * cos - vx * sin,
      spin: free ? 0 : rates[3]! * TURN - turntableRate,
    };
    const pressure = solver.solve(centreMm, motion);
    if (!pressure) return { tipsAtMm: centreMm, motion };
    const lapAngle = (place[3]! - startLap) * TURN - (free ? 0 : turned);
    const swinging = Math.hypot(motion.out, motion.along) < 2 * Math.abs(motion.spin) * solver.reachMm;
    const uneven = swinging || solver.lifts(pressure);
    points.push({
      turns: (to - from) / count,
      centreMm,
      azimuth: azimuth - turned,
      lapAngle,
      motion,
      pressure,
      uneven,
    });
  }
  return points;
}
