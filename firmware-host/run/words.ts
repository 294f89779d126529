/** Plain words for states, causes and refusals: what a person reads instead of a state's name. */
import type { BootCause, LiftState, StopCause } from '../stand/stand-link';
import type { IndexFault } from './index-watch';
import type { Silence } from './sleep-watch';
import type { RunCommand, RunState } from './types';

/** Completes "Stopped by ...". */
export const STOP_CAUSE_WORDS: Record<StopCause, string> = {
  halt: 'the halt input',
  'drive fault': 'a drive that reports a fault',
  'guard open': 'an open guard',
  limit: 'a slide at the end of its travel',
  'lift late': 'a lift that did not arrive in time',
  'system reset': 'a system reset from the line',
  'bad segment': 'a segment the controller refused to walk',
  'link errors': 'too many errors on the line',
};

/** What to look at before clearing. */
export const STOP_CAUSE_ADVICE: Record<StopCause, string> = {
  halt: 'Release the halt switch once it is clear why it was pressed.',
  'drive fault': 'Find out which drive tripped and why; switch it off and on again only when cold and free.',
  'guard open': 'Close the guard.',
  limit: 'Move the slide off its limit by hand, with the drives off, and check that the lap is free.',
  'lift late': 'Look whether the lap sticks to the glass; slide it off, never force it.',
  'system reset': 'Look which other program uses the line to the controller and close it.',
  'bad segment': 'Nothing is wrong with the stand; keep the logbook row of this run, it shows a fault of the planner.',
  'link errors': 'Check the cable and keep it away from motor leads.',
};

export const BOOT_CAUSE_WORDS: Record<BootCause, string> = {
  power: 'power coming on',
  external: 'a reset of the controller',
  'brown-out': 'a dip of the supply voltage',
  watchdog: 'the watchdog of the controller',
  virtual: 'power coming on (virtual stand)',
};

/** What to look at when the index is not where it belongs. */
export const INDEX_ADVICE: Record<IndexFault, string> = {
  missing:
    'Look whether the table turns with its motor, and whether the index sensor is clean, near enough and plugged in.',
  stuck: 'Clean the index sensor and look at its wire; it must show the mark once a turn and nothing else.',
  slipped: 'Look whether the table slips on its drive or under the glass. What it slipped is made good when you go on.',
  bounces: 'Clean the index sensor, look at its distance and at the screen of its wire. Nothing is corrected by it.',
  stray: 'Look what else sets the index sensor off: a second mark, glare, a loose wire. Nothing is corrected by it.',
};

/** Completes "Waiting for ..." where the stand heard nothing of this computer. */
export function silenceWords(silence: Silence | null | undefined): string {
  if (!silence) return 'a person: this computer was silent for too long';
  const seconds = `${silence.seconds.toFixed(silence.seconds < 10 ? 1 : 0)} s`;
  return silence.slept
    ? `a person: the computer slept for ${seconds}`
    : `a person: this computer was silent for ${seconds}, asleep or too busy`;
}

const STATE_WORDS: Record<RunState, string> = {
  Clearing: 'Clearing',
  Stopped: 'Stopped',
  Starting: 'Starting',
  Idle: 'Ready',
  Suspended: 'Waiting',
  Execute: 'Running',
  Stopping: 'Stopping',
  Aborting: 'Stopping',
  Aborted: 'Stopped, must be cleared',
  Holding: 'Pausing',
  Held: 'Paused',
  Unholding: 'Going on',
  Suspending: 'Easing to a standstill',
  Unsuspending: 'Going on',
  Resetting: 'Getting ready',
  Completing: 'Finishing',
  Complete: 'Done',
};

/** The state in plain words. `cause` completes "Waiting for ..." or "Stopped by ...". */
export function stateWords(state: RunState, cause: string | null, endingAtTurn: boolean): string {
  if (state === 'Suspended' && cause !== null) return `Waiting for ${cause}`;
  if (state === 'Suspending' && cause !== null) return `Easing to a standstill, to wait for ${cause}`;
  if (state === 'Aborted' && cause !== null) return `Stopped by ${cause}, must be cleared`;
  if (state === 'Aborting' && cause !== null) return `Stopping because of ${cause}`;
  if (state === 'Execute' && endingAtTurn) return 'Running, stops at the end of the turn';
  return STATE_WORDS[state];
}

/** What becomes of the glass now: where the lap is, and whether it can press a mark. `walking`: the path is being walked. */
export function glassWords(lift: LiftState, walking: boolean, heard: boolean): string {
  if (!heard)
    return 'Nobody hears the stand: look where the lap is. By itself it lifts it; at rest on the glass it presses a mark.';
  if (walking) return lift === 'down' ? 'The lap works on the glass.' : 'The lap is off the glass.';
  switch (lift) {
    case 'up':
      return 'The lap is up: it presses no mark.';
    case 'down':
      return 'The lap is down and at rest: it presses a mark into the pitch and the figure if it stays.';
    case 'rising':
      return 'The lap is on its way up.';
    case 'falling':
      return 'The lap is on its way down.';
    case 'unknown':
      return 'Nobody can see whether the lap is up: look. At rest on the glass it presses a mark.';
  }
}

export const ABOUT_TO_MOVE = {
  words: 'About to move',
  next: 'Keep clear: things move when the countdown ends. Stop calls it off; nothing mutes the sound.',
} as const;

const NEXT_WORDS: Record<RunState, string> = {
  Clearing: 'A moment.',
  Stopped: 'Make ready when the lap, the glass and the stand are in order.',
  Starting: 'The lap is brought to its place.',
  Idle: 'Start when nobody is near the moving parts.',
  Suspended: 'Say so when it is done; the walk then goes on from the same place.',
  Execute: '',
  Stopping: 'A moment.',
  Aborting: 'Keep clear until everything stands still.',
  Aborted: 'Look at the stand first, put right what stopped it, then clear.',
  Holding: 'A moment.',
  Held: 'Resume, or stop.',
  Unholding: 'Keep clear.',
  Suspending: 'A moment.',
  Unsuspending: 'Keep clear.',
  Resetting: 'A moment.',
  Completing: 'The lap is lifted.',
  Complete: 'Let the glass come to rest before it is measured. Make ready to start anew.',
};

/** What a person does next, in words; empty while it runs. */
export function nextWords(state: RunState): string {
  return NEXT_WORDS[state];
}

/** A stand that is found as it came up with its power: nothing is wrong with it. */
export const JUST_SWITCHED_ON = {
  words: 'Just switched on, must be cleared',
  next:
    'Nothing is wrong: the stand does not know yet where its axes are; the start finds them. First take control, clear, make ready, ' +
    'then hold Start.',
} as const;

/** Completes "Waiting for ..." at a rest where a person turns the lap. */
export const HAND_CLOCKING = 'the lap to be clocked by hand';

/** After a run in the air. */
export const NOTHING_TAKEN_OFF =
  'The lap was up all the way, nothing was taken off the glass. If all ran free, make ready and start with the lap down.';

/** Before a run that stood is gone on with. `turns`: those that the lap worked. */
export function goOnWords(turns: number): string {
  return (
    `Go on when nobody is near the moving parts. ${turns.toFixed(2)} turns are on the glass already: starting anew works ` +
    'them a second time.'
  );
}

/**
 * What a person does at a rest for hand clocking, with their hands in a stand whose drives are on. `planned`: the words of the rest in
 * the path, "Turn the lap by -45 deg in its holder"; as everywhere on the stand, anticlockwise is positive.
 */
export function handClockingWords(planned: string, heard: boolean): string {
  if (!heard)
    return 'Keep your hands out: nobody hears the stand, or sees whether it holds still. Look at its cable and power first.';
  const turn = planned.replace(
    /by (-?)([\d.]+ deg)/,
    (_, minus: string, angle: string) =>
      `by ${angle} ${minus === '' ? 'anticlockwise' : 'clockwise'}, seen from above,`,
  );
  return (
    `${turn}. The drives are on and hold, the lap is up: nothing moves until you say that it is done and a countdown is over. ` +
    'That is no guard: keep to the cautions about drives that are on (hardware-notes/CAUTIONS.md), and cut the motor power first ' +
    'where your local rules ask for it: that stops the run, which can be gone on with.'
  );
}

const COMMAND_WORDS: Record<RunCommand, string> = {
  reset: 'Make ready',
  start: 'Start',
  stop: 'Stop',
  stopAtTurnEnd: 'Stop at the end of the turn',
  hold: 'Pause',
  unhold: 'Resume',
  suspend: 'Wait',
  unsuspend: 'Go on after the wait',
  abort: 'Stop at once',
  clear: 'Clear',
};

/** Why a command does nothing now, and what would help. */
export function refusalWords(command: RunCommand, state: RunState, cause: string | null): string {
  const now = stateWords(state, cause, false);
  const next = nextWords(state);
  return `"${COMMAND_WORDS[command]}" does nothing now (${now}).${next === '' ? '' : ` ${next}`}`;
}
