import { expect, test } from 'vitest';
import { askToGoOn, needPersonFor } from '../../firmware-host/cli/go-on';
import type { Call } from '../../firmware-host/cli/verb';

const WORDS = '"Ease a raised ring" stopped at turn 14.37 of 40, lap down.';
const SEEN = { cutShort: WORDS, turnsWalked: 14.37 };
const FOUND = { runId: 'run-1', turnsWalked: 14.37, words: WORDS };

function callWith(line: string | null): { call: Call; said: () => string } {
  let said = '';
  const call = {
    err: (text: string) => {
      said += text;
    },
    onInterrupt: () => () => {},
    ...(line !== null && {
      onLine: (answer: (typed: string) => void) => {
        queueMicrotask(() => answer(line));
        return () => {};
      },
    }),
  } as unknown as Call;
  return { call, said: () => said };
}

test('a run that was cut short is shown with its place and the lap, and goes on only when a person says so', async () => {
  const on = callWith('on\n');
  expect(await askToGoOn(on.call, SEEN, 40)).toBe('place');
  expect(on.said()).toMatch(/stopped at turn 14.37 of 40, lap down/);
  expect(on.said()).toMatch(/Look that the lap is up and free of the glass/);
  expect(await askToGoOn(callWith('anew').call, SEEN, 40)).toBe('beginning');
  await expect(askToGoOn(callWith('').call, SEEN, 40)).rejects.toThrow('Left as it is; nothing has moved.');
});

test('one that was walked to its end can only be started anew', async () => {
  const done = { ...SEEN, turnsWalked: 40 };
  await expect(askToGoOn(callWith('on').call, done, 40)).rejects.toThrow('Left as it is');
  expect(await askToGoOn(callWith('anew').call, done, 40)).toBe('beginning');
});

test('with nobody at a terminal it neither goes on nor starts anew', () => {
  expect(() => needPersonFor(callWith(null).call, FOUND)).toThrow(/at a terminal .* nothing has moved/);
  needPersonFor(callWith('on').call, FOUND);
  needPersonFor(callWith(null).call, null);
});

test('with nothing cut short nobody is asked', async () => {
  const { call, said } = callWith('on');
  expect(await askToGoOn(call, { cutShort: null, turnsWalked: 0 }, 40)).toBe('beginning');
  expect(said()).toBe('');
});
