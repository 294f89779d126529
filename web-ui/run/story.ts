/** What the walk is doing and what it will want of the person, in words; pure, so that each sentence can be tested. */
import type { Tick, View } from '../../firmware-host/server/messages';
import type { Path, PathStint } from '../../planner/path/types';
import { type LengthUnit, lengthWords, plural, timeWords } from '../words';

export function stintAt(path: Path, turns: number): { index: number; stint: PathStint } {
  let index = 0;
  while (index + 1 < path.stints.length && turns >= path.stints[index]!.toTurns) index++;
  return { index, stint: path.stints[index]! };
}

export function stintWords(stint: PathStint, unit: LengthUnit): string {
  const { shape, settingMm, lengthMm, widthMm } = stint.geared.stint;
  const shapeWords = shape === 'straight' ? 'straight strokes' : `ellipses ${lengthWords(widthMm, unit)} wide`;
  return `${shapeWords} of ${lengthWords(lengthMm, unit)} at ${lengthWords(settingMm, unit)}`;
}

/** Whole strokes done in the stint, counting on from the stints of its group before it. */
function strokesDone(stint: PathStint, turns: number): number {
  const share = (turns - stint.fromTurns) / (stint.toTurns - stint.fromTurns);
  const done = Math.min(stint.geared.strokes - 1, Math.floor(share * stint.geared.strokes + 1e-9));
  return Math.max(0, done) + stint.geared.strokesBefore;
}

/** "in 3 strokes", "this stroke", or null where this stint has none. */
export function untilEvery(every: number | null, stint: PathStint, turns: number): string | null {
  if (every === null) return null;
  const left = every - 1 - (strokesDone(stint, turns) % every);
  return left === 0 ? 'this stroke' : `in ${plural(left, 'stroke')}`;
}

export function nudgeEvery(stint: PathStint): number | null {
  return stint.geared.stint.nudge?.everyStrokes ?? null;
}

export function clockingEvery(stint: PathStint): number | null {
  const { clocking } = stint.geared.stint;
  return clocking.kind === 'steps' ? clocking.everyStrokes : null;
}

/** How the lap turns in this stint, where no counted clockings say it. */
export function clockingWords(stint: PathStint): string {
  const { clocking } = stint.geared.stint;
  switch (clocking.kind) {
    case 'none':
      return 'the lap keeps its orientation';
    case 'steps':
      return `by ${(360 * Math.abs(stint.geared.clockingTurns)).toFixed(1)}°`;
    case 'steady':
      return 'the lap turns steadily';
    case 'byHand':
      return 'the lap is turned by hand at a rest';
    case 'free':
      return 'the lap turns as friction will have it';
  }
}

/** How far off the table was at its last index, and at most in this run. */
export function slipWords(slip: Tick['slip']): string {
  if (slip === null) return 'not passed yet';
  const degrees = (value: number): string => `${Math.abs(value).toFixed(2)}°`;
  const now =
    Math.abs(slip.degrees) < 0.005
      ? 'on the mark'
      : `${degrees(slip.degrees)} ${slip.degrees > 0 ? 'behind' : 'ahead'}`;
  const most = slip.worstDegrees < 0.005 ? '' : `, at most ${degrees(slip.worstDegrees)}`;
  return `${now}${most}${slip.madeGoodSteps === 0 ? '' : `, ${plural(slip.madeGoodSteps, 'step')} made good`}`;
}

/** `queuedSeconds`: path that the controller has in hand, which is how late the host may be. */
export function lineWords(line: Tick['line'] | null, queuedSeconds: number): string {
  if (line === null) return 'nothing heard yet';
  const ahead = queuedSeconds < 0.05 ? '' : `; the stand has the next ${queuedSeconds.toFixed(1)} s of the path`;
  const bad =
    line.damaged + line.sentAgain === 0
      ? 'without errors'
      : `${plural(line.damaged, 'message')} damaged, ${line.sentAgain} sent again`;
  return `${bad}${ahead}`;
}

/** The largest line while it warns; rounded up, so that it never says 0. */
export function aboutToMove(seconds: number): string {
  return `Moves in ${Math.max(1, Math.ceil(seconds))} s: keep clear`;
}

/** What the program takes, or what is left of it; work only, in the stand's own time. */
export function workWords(
  { turns: inAll }: Path,
  turns: number,
  seconds: { inAll: number; left: number | null },
  restsAtTurns: number | null,
) {
  const { left } = seconds;
  if (left !== null && restsAtTurns !== null) return { seconds: left, of: `of work to turn ${restsAtTurns}` };
  if (left !== null && turns > 0 && turns < inAll) return { seconds: left, of: 'of work left' };
  return { seconds: seconds.inAll, of: 'of work in all' };
}

/** How long a run took: its work as planned, and all that stood between its first step and its last. */
export function tookWords(plannedSeconds: number, tookSeconds: number): string {
  const more = tookSeconds - plannedSeconds;
  const work = `${timeWords(plannedSeconds)} of work as planned`;
  return more < 1 ? work : `${work} and ${timeWords(more)} of pauses, rests and a slower pace, all in the stand’s time`;
}

/** The largest line of the page: when and why the person is next needed. Times are the stand's own, of work left. */
export function nextNeed(view: View, path: Path | null, turns: number, secondsLeft: number | null): string {
  if (path === null) return 'Choose a program first';
  switch (view.state) {
    case 'Suspended':
      return view.words;
    case 'Aborted':
      if (view.cutShort !== null) return stoodWords(turns, path);
      return view.switchedOn ? 'Just switched on: clear, then make ready' : 'Needs you now: see why it stopped';
    case 'Held':
      return 'Paused: resume when you are ready';
    case 'Stopped':
      return view.stoodAtTurns !== null
        ? stoodWords(view.stoodAtTurns, path)
        : 'Stopped: make ready when all is in order';
    case 'Idle':
      if (view.stoodAtTurns !== null) return `Ready to go on from turn ${view.stoodAtTurns.toFixed(2)}`;
      return 'Ready: hold Start for one second';
    case 'Complete':
      return view.air ? 'Done in the air: nothing was taken off' : 'Done: let the glass rest, then measure';
    case 'Execute': {
      if (view.restsAtTurns !== null) return stopsAtWords(view.restsAtTurns);
      const rest = path.rests.find((one) => one.turns > turns && one.reason === 'hand clocking');
      const needTurns = rest?.turns ?? path.turns;
      if (secondsLeft === null || path.turns <= turns) return 'Running';
      const seconds = (secondsLeft * (needTurns - turns)) / (path.turns - turns);
      return `Needs you in ${timeWords(seconds)}: ${rest ? 'turn the lap' : 'the end'}`;
    }
    default:
      return view.words;
  }
}

/** Once it was asked to stop at the end of the turn. */
export function stopsAtWords(turns: number): string {
  return `Stops at turn ${turns}`;
}

function stoodWords(turns: number, path: Path): string {
  return `Stopped at turn ${turns.toFixed(2)} of ${path.turns}`;
}

/** What the stand does by itself when the host is not heard, for the page that cannot see it any more. */
export const HOST_IS_GONE =
  'No news from the host. If the host program has stopped, the controller eases to a standstill along the path, half a second after ' +
  'it last heard from it, and lifts the lap; the place is not lost. Look at the stand. To stop it now, use the stand’s own switch.';
