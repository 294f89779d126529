import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { entryEffects, initialModel, type RunEvent, type RunModel, reduce } from '../../firmware-host/run/reducer';
import { ACTING, nextState, TRIGGERS, type Trigger } from '../../firmware-host/run/transitions';
import { RUN_STATES, type RunState } from '../../firmware-host/run/types';
import { stateWords } from '../../firmware-host/run/words';

const STATES = Object.keys(RUN_STATES) as RunState[];

/** The published table (ISA-TR88.00.02-2015), row by row; SC = state complete. Written out again, not derived. */
const PUBLISHED: [RunState, Trigger, RunState][] = [
  ['Aborting', 'stateComplete', 'Aborted'],
  ['Aborted', 'clear', 'Clearing'],
  ['Clearing', 'stateComplete', 'Stopped'],
  ['Stopping', 'stateComplete', 'Stopped'],
  ['Stopped', 'reset', 'Resetting'],
  ['Complete', 'reset', 'Resetting'],
  ['Resetting', 'stateComplete', 'Idle'],
  ['Idle', 'start', 'Starting'],
  ['Starting', 'stateComplete', 'Execute'],
  ['Execute', 'hold', 'Holding'],
  ['Execute', 'suspend', 'Suspending'],
  ['Execute', 'stateComplete', 'Completing'],
  ['Holding', 'stateComplete', 'Held'],
  ['Held', 'unhold', 'Unholding'],
  ['Unholding', 'stateComplete', 'Execute'],
  ['Suspending', 'stateComplete', 'Suspended'],
  ['Suspended', 'unsuspend', 'Unsuspending'],
  ['Unsuspending', 'stateComplete', 'Execute'],
  ['Completing', 'stateComplete', 'Complete'],
  ...STATES.filter((state) => state !== 'Aborting' && state !== 'Aborted').map(
    (state): [RunState, Trigger, RunState] => [state, 'abort', 'Aborting'],
  ),
  ...(
    [
      'Resetting',
      'Idle',
      'Starting',
      'Execute',
      'Holding',
      'Held',
      'Unholding',
      'Suspending',
      'Suspended',
      'Unsuspending',
      'Completing',
      'Complete',
    ] as const
  ).map((state): [RunState, Trigger, RunState] => [state, 'stop', 'Stopping']),
];

function modelIn(state: RunState, changes: Partial<RunModel> = {}): RunModel {
  return { ...initialModel({ latchedStop: null, restarted: null }), state, ...changes };
}

/** The event a person or the conductor sends for a trigger. */
function eventOf(state: RunState, trigger: Trigger): RunEvent {
  if (trigger === 'stateComplete') return state === 'Execute' ? { kind: 'endReached' } : { kind: 'done' };
  if (trigger === 'start') return { kind: 'command', command: 'start', from: 'beginning' };
  if (trigger === 'suspend') return { kind: 'command', command: 'suspend', cause: 'slurry' };
  return { kind: 'command', command: trigger };
}

describe('the published table', () => {
  test('the numbers of the states are those of its StateCurrent list', () => {
    expect(Object.values(RUN_STATES).sort((a, b) => a - b)).toEqual(Array.from({ length: 17 }, (_, i) => i + 1));
  });

  test.each(PUBLISHED)('%s, %s leads to %s', (from, trigger, to) => {
    expect(nextState(from, trigger)).toBe(to);
    const { model, refused } = reduce(modelIn(from), eventOf(from, trigger));
    expect(model.state).toBe(to);
    expect(refused).toBeNull();
  });

  test('every other pair is refused, in words, and changes nothing', () => {
    let pairs = 0;
    for (const state of STATES)
      for (const trigger of TRIGGERS) {
        if (PUBLISHED.some(([from, by]) => from === state && by === trigger)) continue;
        pairs++;
        expect(nextState(state, trigger), `${state} ${trigger}`).toBeNull();
        const before = modelIn(state);
        const { model, effects, refused } = reduce(before, eventOf(state, trigger));
        expect(model).toEqual(before);
        expect(effects).toEqual([]);
        if (trigger !== 'stateComplete') expect(refused).toMatch(/^"[A-Z].*" does nothing now \(.+\)\./);
      }
    expect(pairs).toBe(STATES.length * TRIGGERS.length - PUBLISHED.length);
  });

  test('an effect list that ends never ends Execute: only the path does', () => {
    expect(reduce(modelIn('Execute'), { kind: 'done' }).model.state).toBe('Execute');
  });
});

const stopCauses = ['halt', 'drive fault', 'guard open', 'limit', 'lift late', 'bad segment', 'link errors'] as const;
const anyEvent: fc.Arbitrary<RunEvent> = fc.oneof(
  fc
    .constantFrom('reset', 'stop', 'stopAtTurnEnd', 'hold', 'unhold', 'unsuspend', 'abort', 'clear')
    .map((command): RunEvent => ({ kind: 'command', command }) as RunEvent),
  fc.constantFrom('beginning', 'place').map((from): RunEvent => ({ kind: 'command', command: 'start', from })),
  fc.constant<RunEvent>({ kind: 'command', command: 'suspend', cause: 'slurry' }),
  { weight: 6, arbitrary: fc.constant<RunEvent>({ kind: 'done' }) },
  fc.constantFrom(...stopCauses).map((cause): RunEvent => ({ kind: 'latchedStop', cause })),
  fc.constantFrom<RunEvent>(
    { kind: 'restarted', cause: 'watchdog' },
    { kind: 'hostSilent' },
    { kind: 'linkLost' },
    { kind: 'linkBack' },
    { kind: 'plannedRest', reason: 'hand clocking', words: 'the lap to be turned by hand' },
    { kind: 'plannedRest', reason: 'pattern change', words: 'a change of pattern' },
    { kind: 'indexOff', fault: 'slipped', words: 'the index came 0.8 degrees late' },
    { kind: 'noisyLine' },
    { kind: 'turnEndReached' },
    { kind: 'endReached' },
    { kind: 'trouble', words: 'drives that do not come on' },
  ),
);
const history = fc.array(anyEvent, { maxLength: 60 });

function walk(events: RunEvent[], each: (before: RunModel, event: RunEvent, after: ReturnType<typeof reduce>) => void) {
  let model = initialModel({ latchedStop: null, restarted: 'power' });
  for (const event of events) {
    const reduced = reduce(model, event);
    each(model, event, reduced);
    model = reduced.model;
  }
  return model;
}

describe('rules that hold after any history', () => {
  const settings = { seed: 20_261_125, numRuns: 500 };

  test('motion begins only by start, by going on, or at a change of pattern while it runs', () => {
    fc.assert(
      fc.property(history, (events) => {
        walk(events, (before, event, { effects }) => {
          if (!effects.some((effect) => effect === 'go' || effect === 'park' || effect === 'reference')) return;
          const asked = event.kind === 'command' && ['start', 'unhold', 'unsuspend'].includes(event.command);
          const byItself =
            event.kind === 'plannedRest' && event.reason === 'pattern change' && before.state === 'Execute';
          expect(asked || byItself, `${before.state} ${JSON.stringify(event)}`).toBe(true);
        });
      }),
      settings,
    );
  });

  test('reset moves nothing at all', () => {
    for (const state of STATES)
      expect(reduce(modelIn(state), { kind: 'command', command: 'reset' }).effects).toEqual([]);
  });

  test('from any state and after any history abort leads to Aborted, and stays there until it is cleared', () => {
    fc.assert(
      fc.property(history, (events) => {
        let model = walk(events, () => {});
        model = reduce(model, { kind: 'command', command: 'abort' }).model;
        if (model.state === 'Aborting') model = reduce(model, { kind: 'done' }).model;
        expect(model.state).toBe('Aborted');
        for (const event of events) {
          if (event.kind === 'command' && event.command === 'clear') continue;
          model = reduce(model, event).model;
          expect(model.state).toBe('Aborted');
        }
      }),
      settings,
    );
  });

  test('a latched stop always ends in Aborted and tells its cause', () => {
    fc.assert(
      fc.property(history, fc.constantFrom(...stopCauses), (events, cause) => {
        const before = walk(events, () => {});
        let model = reduce(before, { kind: 'latchedStop', cause }).model;
        if (model.state === 'Aborting') model = reduce(model, { kind: 'done' }).model;
        expect(model.state).toBe('Aborted');
        expect(stateWords('Aborted', model.cause, false)).toMatch(/^Stopped by .+, must be cleared$/);
      }),
      settings,
    );
  });

  test('a stopped run needs three separate intents before it moves: clear, reset, start', () => {
    const moves = (model: RunModel, event: RunEvent) => reduce(model, event).effects.includes('go');
    let model = modelIn('Aborted', { cause: 'the halt input' });
    for (const command of ['clear', 'reset'] as const) {
      for (const other of ['unhold', 'unsuspend'] as const)
        expect(moves(model, { kind: 'command', command: other })).toBe(false);
      expect(moves(model, { kind: 'command', command: 'start', from: 'place' })).toBe(false);
      model = reduce(model, { kind: 'command', command }).model;
      expect(moves(model, { kind: 'done' })).toBe(false);
      model = reduce(model, { kind: 'done' }).model;
    }
    expect(model.state).toBe('Idle');
    expect(moves(model, { kind: 'command', command: 'start', from: 'place' })).toBe(true);
  });

  test('wherever the stand walks, everybody can stop it', () => {
    fc.assert(
      fc.property(history, (events) => {
        const model = walk(events, () => {});
        const { model: after, refused } = reduce(model, { kind: 'command', command: 'stop' });
        if (refused !== null) expect(['Aborting', 'Aborted', 'Stopping', 'Stopped', 'Clearing']).toContain(model.state);
        else expect(after.state).toBe(model.linkLost ? 'Aborting' : 'Stopping');
      }),
      settings,
    );
  });

  test('every acting state but Execute ends once its effects are done', () => {
    for (const state of STATES) {
      const ends = reduce(modelIn(state), { kind: 'done' }).model.state !== state;
      expect(ends, state).toBe(ACTING.has(state) && state !== 'Execute');
    }
  });
});

describe('what the stand shows', () => {
  test('stop at the end of the turn walks on, rests at the index, then stops', () => {
    const asked = reduce(modelIn('Execute'), { kind: 'command', command: 'stopAtTurnEnd' });
    expect(asked.effects).toEqual(['restAtTurnEnd']);
    expect(asked.model.state).toBe('Execute');
    expect(stateWords('Execute', null, asked.model.endingAtTurn)).toBe('Running, stops at the end of the turn');
    const again = reduce(asked.model, { kind: 'command', command: 'stopAtTurnEnd' });
    expect([again.effects, again.refused]).toEqual([[], null]);
    const rested = reduce(asked.model, { kind: 'turnEndReached' });
    expect(rested.model).toMatchObject({ state: 'Stopping', endingAtTurn: false });
    expect(rested.effects).toEqual(['ease', 'liftUp', 'flush']);
  });

  test('a rest for hand clocking waits for a person; a change of pattern goes on by itself', () => {
    const words = 'the lap to be turned by 45 degrees by hand';
    const clocking = reduce(modelIn('Execute'), { kind: 'plannedRest', reason: 'hand clocking', words });
    expect(clocking.model).toMatchObject({
      state: 'Suspending',
      cause: 'the lap to be clocked by hand',
      advice: words,
    });
    const change = reduce(modelIn('Execute'), { kind: 'plannedRest', reason: 'pattern change', words: 'x' });
    expect(change.model.state).toBe('Execute');
    expect(change.effects).toEqual(['go']);
  });

  test('a pause that catches a rest for hand clocking does not skip the clocking', () => {
    const words = 'the lap to be turned';
    let model = reduce(modelIn('Holding'), { kind: 'plannedRest', reason: 'hand clocking', words }).model;
    model = reduce(model, { kind: 'done' }).model;
    expect(model.state).toBe('Held');
    const unhold = reduce(model, { kind: 'command', command: 'unhold' });
    expect(unhold.effects).toEqual([]);
    expect(reduce(unhold.model, { kind: 'done' }).model).toMatchObject({
      state: 'Suspending',
      advice: words,
    });
  });

  test('nothing begins to walk that the logbook does not know of, and what walks waits', () => {
    const full = { kind: 'notKept', words: 'database or disk is full' } as const;
    const cause = 'the logbook, which cannot be written (database or disk is full)';
    expect(reduce(modelIn('Execute'), full).model).toMatchObject({ state: 'Suspending', cause });
    expect(reduce(modelIn('Starting'), full).model).toMatchObject({ state: 'Aborting', cause });
    for (const state of ['Unholding', 'Unsuspending'] as const) {
      const { model } = reduce(modelIn(state), full);
      expect(entryEffects(model)).toEqual([]);
      expect(reduce(model, { kind: 'done' }).model).toMatchObject({ state: 'Suspending', cause });
    }
    for (const state of ['Held', 'Suspended', 'Idle', 'Stopped', 'Aborted', 'Complete'] as const)
      expect(reduce(modelIn(state), full).model).toEqual(modelIn(state));
  });

  test('a silent host is waited for while it walks; on the way to walking it is a stop', () => {
    expect(reduce(modelIn('Execute'), { kind: 'hostSilent' }).model.state).toBe('Suspending');
    for (const state of ['Starting', 'Unholding', 'Unsuspending', 'Completing'] as const)
      expect(reduce(modelIn(state), { kind: 'hostSilent' }).model.state).toBe('Aborting');
    for (const state of ['Held', 'Idle', 'Stopped', 'Aborted', 'Complete'] as const)
      expect(reduce(modelIn(state), { kind: 'hostSilent' }).model.state).toBe(state);
  });

  test('with the line gone only stopping can be asked for, and it is no orderly stop', () => {
    const { model } = reduce(modelIn('Held'), { kind: 'linkLost' });
    expect(model.state).toBe('Held');
    expect(reduce(model, { kind: 'command', command: 'unhold' }).refused).toMatch(/does not answer/);
    expect(reduce(model, { kind: 'command', command: 'stop' }).model.state).toBe('Aborting');
    const back = reduce(model, { kind: 'linkBack' });
    expect(reduce(back.model, { kind: 'command', command: 'unhold' }).model.state).toBe('Unholding');
  });

  test('a stand found latched or fresh from power comes up stopped, never ready', () => {
    expect(initialModel({ latchedStop: 'limit', restarted: null }).state).toBe('Aborted');
    expect(initialModel({ latchedStop: null, restarted: 'brown-out' })).toMatchObject({
      state: 'Aborted',
      cause: 'a dip of the supply voltage',
    });
    expect(initialModel({ latchedStop: null, restarted: null }).state).toBe('Stopped');
  });
});
