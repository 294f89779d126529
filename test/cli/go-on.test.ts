import { expect, test } from 'vitest';
import { askToGoOn } from '../../firmware-host/cli/go-on';
import type { Call } from '../../firmware-host/cli/verb';

const FOUND = {
  runId: 'run-1',
  turnsWalked: 14.37,
  words: '"Ease a raised ring" stopped at turn 14.37 of 40, lap down.',
};

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
  expect(await askToGoOn(on.call, FOUND)).toBe(FOUND);
  expect(on.said()).toMatch(/stopped at turn 14.37 of 40, lap down/);
  expect(on.said()).toMatch(/Look that the lap is up and free of the glass/);
  expect(await askToGoOn(callWith('anew').call, FOUND)).toBeNull();
  await expect(askToGoOn(callWith('').call, FOUND)).rejects.toThrow('Left as it is; nothing has moved.');
});

test('with nobody at a terminal it neither goes on nor starts anew', async () => {
  await expect(askToGoOn(callWith(null).call, FOUND)).rejects.toThrow(/at a terminal .* nothing has moved/);
});

test('with nothing cut short nobody is asked', async () => {
  const { call, said } = callWith('on');
  expect(await askToGoOn(call, null)).toBeNull();
  expect(said()).toBe('');
});
