/**
 * Rules that keep the glass and the run, each broken on purpose by a change of text, and what must notice. `from` stands exactly once
 * in its file.
 */
export interface Mutation {
  rule: string;
  file: string;
  from: string;
  to: string;
  /** Test files, or the campaign of so many cases. */
  by: readonly string[] | { cases: number };
}

const CORE = 'firmware-host/controller/core';
const RUN = 'firmware-host/run';
const TABLE = ['test/run/stop-table.test.ts'];
const REDUCER = ['test/run/reducer.test.ts'];
const CAMPAIGN = { cases: 160 } as const;

export const MUTATIONS: readonly Mutation[] = [
  {
    rule: 'a halt takes back the step that is due',
    file: `${CORE}/stops.c`,
    from: '  core.pending = 0;\n',
    to: '',
    by: ['test/chip/stops.test.ts', 'test/wire/conformance.test.ts'],
  },
  {
    rule: 'a halt switches the drives off at once',
    file: `${CORE}/stops.c`,
    from: '  port_enable(false);\n',
    to: '',
    by: TABLE,
  },
  {
    rule: 'a guard that opens switches the drives off at rest',
    file: `${CORE}/stops.c`,
    from: 'core.drives_off_at_rest = true;',
    to: 'core.drives_off_at_rest = false;',
    by: TABLE,
  },
  {
    rule: 'no pace while a latched stop stands',
    file: `${CORE}/commands.c`,
    from: 'else if (target != 0 && core.stop != STOP_NONE) reason = REFUSED_STOP;',
    to: '',
    by: ['test/wire/conformance.test.ts', 'test/chip/stops.test.ts'],
  },
  {
    rule: 'the lap goes down only at rest',
    file: `${CORE}/commands.c`,
    from: '  if (!up && !at_rest()) return refuse(REFUSED_MOTION);\n',
    to: '',
    by: ['test/wire/conformance.test.ts', 'test/chip/stops.test.ts'],
  },
  {
    rule: 'the lap rises when the host falls silent',
    file: `${CORE}/lift.c`,
    from: '(stopped || core.silent)',
    to: 'stopped',
    by: ['test/run/waiting.test.ts'],
  },
  {
    rule: 'an axis turns round only slowly',
    file: `${CORE}/ring.c`,
    from: '(changed & 1) && (steps',
    to: '(changed & 1) && quarter == 255 && (steps',
    by: ['test/wire/conformance.test.ts', 'test/chip/segment-rules.test.ts'],
  },
  {
    rule: 'a reset makes ready and does not start',
    file: `${RUN}/transitions.ts`,
    from: "Resetting: { ...STOPPABLE, stateComplete: 'Idle' }",
    to: "Resetting: { ...STOPPABLE, stateComplete: 'Starting' }",
    by: REDUCER,
  },
  {
    rule: 'a clear does not reset',
    file: `${RUN}/transitions.ts`,
    from: "Clearing: { abort: 'Aborting', stateComplete: 'Stopped' }",
    to: "Clearing: { abort: 'Aborting', stateComplete: 'Resetting' }",
    by: REDUCER,
  },
  {
    rule: 'a latched stop must be cleared',
    file: `${RUN}/reducer.ts`,
    from: 'return stop(model, stopCause(event.cause));',
    to: "return enter(model, 'suspend', stopCause(event.cause));",
    by: REDUCER,
  },
  {
    rule: 'a pause lifts the lap',
    file: `${RUN}/reducer.ts`,
    from: "    case 'Suspending':\n      return ['ease', 'liftUp'];",
    to: "    case 'Suspending':\n      return ['ease'];",
    by: [...REDUCER, ...TABLE],
  },
  {
    rule: 'nothing is asked of a stand that does not answer',
    file: `${RUN}/reducer.ts`,
    from: 'if (model.linkLost && NEEDS_LINK.has(event.command))',
    to: 'if (false as boolean)',
    by: [...REDUCER, 'test/run/waiting.test.ts'],
  },
  {
    rule: 'a wait goes on only when somebody says so',
    file: `${RUN}/transitions.ts`,
    from: "stateComplete: 'Suspended' }",
    to: "stateComplete: 'Unsuspending' }",
    by: [...REDUCER, ...TABLE],
  },
  {
    rule: 'stopped is said only when it stands, also where nobody hears it',
    file: `${RUN}/conductor.ts`,
    from: 'const seconds = this.aloneSeconds + plan.stand.lift.travelSeconds;',
    to: 'const seconds = 0;',
    by: CAMPAIGN,
  },
  {
    rule: 'nothing is fed into a link that is not settled',
    file: `${RUN}/conductor.ts`,
    from: 'if (!this.model.linkLost) this.walker.feed();',
    to: 'this.walker.feed();',
    by: CAMPAIGN,
  },
  {
    rule: 'a walk that stands still is noticed',
    file: `${RUN}/walk-watch.ts`,
    from: "return { kind: 'stoodStill', silence: this.silence() };",
    to: 'return null;',
    by: CAMPAIGN,
  },
  {
    rule: 'lost axes are found again before they walk',
    file: `${RUN}/walker.ts`,
    from: 'this.standing = yield* reference(hands);',
    to: 'this.standing = stepsAtTurns(this.plan.path, this.plan.stand, this.turns);',
    by: { cases: 12 },
  },
  {
    rule: 'the lap is waited for before the walk begins',
    file: `${RUN}/hands.ts`,
    from: '(status) => status.lift === direction,',
    to: '() => true,',
    by: CAMPAIGN,
  },
  {
    rule: 'a stray pulse is no index',
    file: `${RUN}/index-watch.ts`,
    from: 'const STRAY_TOLERANCES = 20;',
    to: 'const STRAY_TOLERANCES = 1e9;',
    by: ['test/run/index.test.ts'],
  },
  {
    rule: 'what it came to rest at is on the disc at once',
    file: 'firmware-host/logbook/recorder.ts',
    from: 'if (!onTheWay || Math',
    to: 'if (Math',
    by: ['test/logbook/logbook.test.ts'],
  },
  {
    rule: 'inputs are looked at also with one path tick left',
    file: `${CORE}/core.c`,
    from: 'core.at.ticks_left == 1) tick_look();',
    to: 'core.at.ticks_left == 0) tick_look();',
    by: ['test/chip/last-tick.test.ts'],
  },
  {
    rule: 'an old report is no sign of life',
    file: 'firmware-host/stand/link-session.ts',
    from: '      this.counters.sequence++;\n      if (this.reader',
    to: '      this.lastHeard = now;\n      this.counters.sequence++;\n      if (this.reader',
    by: ['test/wire/link-session.test.ts'],
  },
  {
    rule: 'a new end of the walk is kept at once',
    file: `${RUN}/conductor.ts`,
    from: '      this.book.keepPlace(this.model.state, this.status);\n    }\n',
    to: '    }\n',
    by: ['test/run/new-end-kept.test.ts'],
  },
  {
    rule: 'a row that a full disc refused is kept',
    file: 'firmware-host/logbook/recorder.ts',
    from: '      this.unwritten[0]!();\n      this.unwritten.shift();',
    to: '      this.unwritten.shift()!();',
    by: ['test/logbook/logbook.test.ts'],
  },
  {
    rule: 'a place is certain only where the walk rests',
    file: `${RUN}/run-book.ts`,
    from: 'RESTS.has(state) ? walker.doubtTurns : null',
    to: '0',
    by: ['test/run/killed-host.test.ts'],
  },
  {
    rule: 'numbers that have begun anew tell nothing of the walk before',
    file: `${RUN}/stream-mark.ts`,
    from: 'segment < Math.max(0, mark.place.segment)',
    to: 'segment < mark.place.segment',
    by: ['test/run/killed-host.test.ts'],
  },
  {
    rule: 'nothing is sent into a queue that is being emptied',
    file: `${RUN}/walker.ts`,
    from: '        this.emptying = true;\n',
    to: '',
    by: ['test/run/killed-host.test.ts'],
  },
  {
    rule: 'nothing starts that the logbook does not know of',
    file: `${RUN}/reducer.ts`,
    from: "if (model.state === 'Starting') return enter(model, 'abort', { ...NOTHING_LEFT, ...wait });",
    to: "if (model.state === 'Starting') return waitFor(model, wait);",
    by: ['test/run/thread.test.ts'],
  },
  {
    rule: 'what comes up on the way to walking is waited for before anything moves',
    file: `${RUN}/conductor.ts`,
    from: '      if (!entryEffects(this.model).includes(effect)) continue;\n',
    to: '',
    by: ['test/run/waiting.test.ts'],
  },
];
