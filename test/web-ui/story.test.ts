/** The sentences of the Run page: what is next, when the person is needed, what every state says. */
import { expect, test } from 'vitest';
import type { View } from '../../firmware-host/server/messages';
import { gearProgram } from '../../planner/gearing/gearing';
import { buildPath } from '../../planner/path/path';
import {
  aboutToMove,
  clockingEvery,
  lineWords,
  nextNeed,
  nudgeEvery,
  slipWords,
  stintAt,
  stintWords,
  tookWords,
  untilEvery,
  workWords,
} from '../../web-ui/run/story';
import { Trail } from '../../web-ui/run/trail';
import { durationWords, lengthWords, spokenDuration } from '../../web-ui/words';
import { FakeDesk } from '../server/fake-desk';
import { demoStand, program } from '../support/programs';

const written = program([
  {
    turns: 11,
    nudge: { everyStrokes: 5, byMm: 10 },
    clocking: { kind: 'steps', everyStrokes: 3, askedDeg: 40, share: 0.5 },
  },
  { turns: 7, shape: 'ellipse', widthMm: 12, clocking: { kind: 'byHand', everyTurns: 3, byDeg: 40 } },
]);
const path = buildPath(gearProgram(written), written, demoStand);

function view(state: View['state'], over: Partial<View> = {}): View {
  return {
    ...new FakeDesk().view(),
    launch: 'x',
    control: { holder: null, watching: 0 },
    cautionsAcknowledged: [],
    state,
    words: `words of ${state}`,
    ...over,
  };
}

test('the stint under way is found, at its borders too', () => {
  expect(stintAt(path, 0).index).toBe(0);
  expect(stintAt(path, 10.999).index).toBe(0);
  expect(stintAt(path, 11).index).toBe(1);
  expect(stintAt(path, 18).index).toBe(1);
});

test('strokes to the next nudge count down to "this stroke" and start over', () => {
  const { stint } = stintAt(path, 0);
  const perStroke = 11 / stint.geared.strokes;
  const said = Array.from({ length: 6 }, (_, i) => untilEvery(nudgeEvery(stint), stint, (i + 0.5) * perStroke));
  expect(said).toEqual(['in 4 strokes', 'in 3 strokes', 'in 2 strokes', 'in 1 stroke', 'this stroke', 'in 4 strokes']);
  expect(untilEvery(clockingEvery(stint), stint, 2.5 * perStroke)).toBe('this stroke');
});

test('a stint without nudges says nothing of them', () => {
  const { stint } = stintAt(path, 12);
  expect(untilEvery(nudgeEvery(stint), stint, 12)).toBeNull();
});

test('while it runs the next need is the next hand clocking, then the end, in time at this pace', () => {
  const rest = path.rests.find((one) => one.reason === 'hand clocking' && one.turns > 0)!;
  const before = nextNeed(view('Execute'), path, rest.turns - 1, 60 * (path.turns - rest.turns + 1));
  expect(before).toBe('Needs you in 1:00 min: turn the lap');
  const lastRest = path.rests.at(-1)!;
  const after = nextNeed(view('Execute'), path, lastRest.turns + 0.5, 30);
  expect(after).toBe('Needs you in 0:30 min: the end');
});

test('asked to stop at the end of the turn it says at which, and needs nobody before', () => {
  expect(nextNeed(view('Execute', { restsAtTurns: 6 }), path, 5.97, 30)).toBe('Stops at turn 6');
});

test('a stand just switched on, and a run in the air at its end, are called what they are', () => {
  expect(nextNeed(view('Aborted', { switchedOn: true }), path, 0, null)).toBe(
    'Just switched on: clear, then make ready',
  );
  expect(nextNeed(view('Complete', { air: true }), path, 18, null)).toBe('Done in the air: nothing was taken off');
  expect(nextNeed(view('Stopped'), path, 0, null)).toBe('Stopped: make ready when all is in order');
});

test('time is work, in one meaning from before the start to the end; standing is counted apart', () => {
  expect(workWords(path, 0, { inAll: 505, left: null }, null)).toEqual({ seconds: 505, of: 'of work in all' });
  expect(workWords(path, 9, { inAll: 505, left: 252 }, null)).toEqual({ seconds: 252, of: 'of work left' });
  expect(workWords(path, path.turns, { inAll: 505, left: 0 }, null)).toEqual({ seconds: 505, of: 'of work in all' });
  expect(workWords(path, 9.5, { inAll: 505, left: 13 }, 10)).toEqual({ seconds: 13, of: 'of work to turn 10' });
  expect(tookWords(505, 505.4)).toBe('8:25 min of work as planned');
  expect(tookWords(505, 1856)).toBe(
    '8:25 min of work as planned and 22:31 min of pauses, rests and a slower pace, all in the stand’s time',
  );
  expect(tookWords(7_500, 7_500)).toBe('2 h 05 min of work as planned');
});

test('every other state has a headline that says what to do or what it waits for', () => {
  expect(nextNeed(view('Idle'), path, 0, null)).toContain('hold Start');
  expect(nextNeed(view('Suspended', { words: 'Waiting for the lap to be turned' }), path, 3, null)).toContain(
    'Waiting for',
  );
  expect(nextNeed(view('Aborted'), path, 3, null)).toContain('Needs you now');
  expect(nextNeed(view('Stopped', { stoodAtTurns: 3.25 }), path, 3, null)).toContain('3.25');
  expect(nextNeed(view('Complete'), path, 18, null)).toContain('measure');
  expect(nextNeed(view('Execute'), null, 0, null)).toContain('Choose a program');
});

test('a stint reads as an optician would say it, in either unit', () => {
  expect(stintWords(stintAt(path, 12).stint, 'mm')).toBe('ellipses 12 mm wide of 80 mm at 90 mm');
  expect(stintWords(stintAt(path, 0).stint, 'in')).toBe('straight strokes of 3.15 in at 3.54 in');
});

test('durations and lengths', () => {
  expect(durationWords(0)).toBe('0:00');
  expect(durationWords(65.2)).toBe('1:06');
  expect(durationWords(7_500)).toBe('2 h 05 min');
  expect(spokenDuration(61)).toBe('1 minute 1 second');
  expect(lengthWords(25.4, 'in')).toBe('1 in');
});

test('the trail lies on the path in the glass’s own frame, has no gap, and keeps the newest turns only', () => {
  const trail = new Trail(path);
  trail.walkTo(0.2);
  trail.walkTo(2.5);
  const size = trail.points.length / 2;
  const last = 2 * ((trail.start + trail.count - 1) % size);
  const place = path.at(2.5);
  const radius = Math.hypot(trail.points[last]!, trail.points[last + 1]!);
  expect(Math.abs(radius - Math.hypot(place.xMm, place.yMm))).toBeLessThan(6);
  let longest = 0;
  for (let i = 1; i < trail.count; i++) {
    const [a, b] = [2 * ((trail.start + i - 1) % size), 2 * ((trail.start + i) % size)];
    longest = Math.max(
      longest,
      Math.hypot(trail.points[b]! - trail.points[a]!, trail.points[b + 1]! - trail.points[a + 1]!),
    );
  }
  expect(longest).toBeLessThan(15);
  const before = trail.count;
  trail.walkTo(17);
  expect(trail.count).toBeLessThan(before * 2);
  trail.walkTo(0);
  expect(trail.count).toBe(0);
});

test('the slip of the table is told in degrees, with the side it is on', () => {
  const slip = { turn: 7, degrees: 0.1234, worstDegrees: 0.3, madeGoodSteps: 48 };
  expect(slipWords(slip)).toBe('0.12° behind, at most 0.30°, 48 steps made good');
  expect(slipWords({ ...slip, degrees: -0.1234, madeGoodSteps: 1 })).toBe(
    '0.12° ahead, at most 0.30°, 1 step made good',
  );
  expect(slipWords({ turn: 1, degrees: 0.001, worstDegrees: 0.001, madeGoodSteps: 0 })).toBe('on the mark');
  expect(slipWords(null)).toBe('not passed yet');
});

test('the line is told in one sentence', () => {
  expect(lineWords({ damaged: 0, sentAgain: 0 }, 0.82)).toBe(
    'without errors; the stand has the next 0.8 s of the path',
  );
  expect(lineWords({ damaged: 0, sentAgain: 0 }, 0)).toBe('without errors');
  expect(lineWords({ damaged: 1, sentAgain: 2 }, 0.4239)).toBe(
    '1 message damaged, 2 sent again; the stand has the next 0.4 s of the path',
  );
  expect(lineWords(null, 0)).toBe('nothing heard yet');
});

test('a countdown never says that it moves in no time', () => {
  expect([2.01, 1, 0.2, 0].map(aboutToMove)).toEqual([
    'Moves in 3 s: keep clear',
    'Moves in 1 s: keep clear',
    'Moves in 1 s: keep clear',
    'Moves in 1 s: keep clear',
  ]);
});

test('a run that was cut short is the first thing read, with its place', () => {
  const stands = view('Aborted', { cutShort: '"X" stopped at turn 14.37 of 18, lap up.' });
  expect(nextNeed(stands, path, 14.372, null)).toBe('Stopped at turn 14.37 of 18');
  expect(nextNeed(view('Idle', { stoodAtTurns: 14.372 }), path, 14.372, null)).toBe('Ready to go on from turn 14.37');
});
