/**
 * A path and a time law in closed form, so that what is built on them is not judged by the planner's own. One pattern for the
 * whole walk: an ellipse (width 0: straight) with a nudge on every stroke and a steadily turning lap; ramps are smooth-step in time.
 */
import type { Path, Place, PlannedRest } from '../../planner/path/types';
import type { Stand } from '../../planner/stand/types';
import type { TimeLaw } from '../../planner/timing/types';
import { demoStand } from './programs';

export interface AnalyticPattern {
  turns: number;
  strokes: number;
  settingMm: number;
  lengthMm: number;
  widthMm: number;
  nudgeMm: number;
  lapTurnsPerTurn: number;
  rests?: number[];
}

export function analyticPath(pattern: AnalyticPattern): Path {
  const { turns, strokes, settingMm, lengthMm, widthMm, nudgeMm, lapTurnsPerTurn } = pattern;
  const omega = (2 * Math.PI * strokes) / turns;
  const clamp = (u: number): number => Math.min(turns, Math.max(0, u));
  const sample = (walked: number, out: Float64Array): void => {
    const u = clamp(walked);
    const psi = omega * u;
    out[0] = u;
    out[1] = -(lengthMm / 2) * Math.cos(psi);
    out[2] = settingMm + (widthMm / 2) * Math.sin(psi) - nudgeMm * Math.sin(psi / 2) ** 4;
    out[3] = lapTurnsPerTurn * u;
  };
  return {
    turns,
    stints: [],
    rests: (pattern.rests ?? []).map((at): PlannedRest => ({ turns: at, reason: 'pattern change', words: 'rest' })),
    at(u: number): Place {
      const out = new Float64Array(4);
      sample(u, out);
      return { turntableTurns: out[0]!, xMm: out[1]!, yMm: out[2]!, lapTurns: out[3]! };
    },
    sample,
    derivatives(u: number, out: Float64Array): void {
      const psi = omega * clamp(u);
      out.fill(0);
      out[0] = 1;
      out[1] = (lengthMm / 2) * omega * Math.sin(psi);
      // sin^4(psi/2) = (3 - 4 cos psi + cos 2 psi) / 8
      out[2] = omega * ((widthMm / 2) * Math.cos(psi) - (nudgeMm / 8) * (4 * Math.sin(psi) - 2 * Math.sin(2 * psi)));
      out[3] = lapTurnsPerTurn;
      out[5] = (lengthMm / 2) * omega ** 2 * Math.cos(psi);
      out[6] =
        omega ** 2 * (-(widthMm / 2) * Math.sin(psi) - (nudgeMm / 8) * (4 * Math.cos(psi) - 4 * Math.cos(2 * psi)));
    },
  };
}

/** Smooth-step up to cruise in `rampSeconds`, cruise, the same down; once for each leg between rests. */
export function analyticLaw(path: Path, fromTurns: number, cruise: number, rampSeconds: number): TimeLaw {
  const stops = [...path.rests.map((rest) => rest.turns).filter((at) => at > fromTurns), path.turns];
  const legs: { from: number; start: number; turns: number; seconds: number; ramp: number; speed: number }[] = [];
  let from = fromTurns;
  let start = 0;
  for (const stop of stops) {
    const turns = stop - from;
    // Both ramps together walk speed x ramp; a short leg gets a lower speed.
    const speed = Math.min(cruise, turns / (1.5 * rampSeconds));
    const seconds = turns / speed + rampSeconds;
    legs.push({ from, start, turns, seconds, ramp: rampSeconds, speed });
    from = stop;
    start += seconds;
  }
  const durationSeconds = start;
  const legAt = (t: number) => legs.find((leg) => t < leg.start + leg.seconds) ?? legs[legs.length - 1]!;
  const turnsAt = (seconds: number): number => {
    const t = Math.min(durationSeconds, Math.max(0, seconds));
    const leg = legAt(t);
    const local = Math.min(leg.seconds, t - leg.start);
    const ramped = (s: number): number => {
      const x = s / leg.ramp;
      return leg.speed * leg.ramp * x ** 3 * (1 - x / 2);
    };
    if (local < leg.ramp) return leg.from + ramped(local);
    if (local <= leg.seconds - leg.ramp) return leg.from + leg.speed * (local - leg.ramp / 2);
    return leg.from + leg.turns - ramped(leg.seconds - local);
  };
  return {
    fromTurns,
    toTurns: path.turns,
    durationSeconds,
    cruiseTurnsPerSecond: cruise,
    restSeconds: legs.slice(1).map((leg) => leg.start),
    turnsAt,
    speedAt(seconds: number): number {
      const t = Math.min(durationSeconds, Math.max(0, seconds));
      const leg = legAt(t);
      const local = Math.min(leg.seconds, t - leg.start);
      const x = Math.min(1, local / leg.ramp, (leg.seconds - local) / leg.ramp);
      return leg.speed * x * x * (3 - 2 * x);
    },
    secondsAt(turns: number): number {
      let low = 0;
      let high = durationSeconds;
      for (let i = 0; i < 60; i++) {
        const middle = (low + high) / 2;
        if (turnsAt(middle) < turns) low = middle;
        else high = middle;
      }
      return (low + high) / 2;
    },
  };
}

/** A stand of the reference size with round numbers, and a turntable whose steps per turn are not whole. */
export const analyticStand: Stand = {
  ...demoStand,
  name: 'Analytic stand',
  axes: { ...demoStand.axes, turntable: { ...demoStand.axes.turntable, maxAcceleration: 0.5 } },
};
