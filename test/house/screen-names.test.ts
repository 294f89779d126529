/** Pins and contacts have the names of the pin table wherever a person reads them: terminal, messages, pages of text, stand files. */
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { contactsOf } from '../../firmware-host/cli/contacts';
import { nameOf, type PinBoard, readPins } from '../../firmware-host/controller/pin-table';
import { STOP_CAUSE_WORDS } from '../../firmware-host/run/words';
import { BOARDS, INPUT_BITS } from '../../firmware-host/stand/codes';
import { BOARD_NAMES, NEVER_TURNED, turnable } from '../../planner/stand/pins';

const ROOT = join(__dirname, '..', '..');
const boards = readPins();
const reference = boards[0]!;
const inputsOf = (board: PinBoard) => board.pins.filter((pin) => pin.kind === 'input');
/** Words of a name that tell it from others. */
const COMMON = /^(of|the|all|is|in|or|end|limit|switch|button|chain|stop|switches|outputs|series)$/;
const tellingWords = (name: string): string[] =>
  name
    .toLowerCase()
    .split(/\W+/)
    .filter((word) => !COMMON.test(word))
    .map((word) => word.replace(/s$/, ''));

function nameOfSignal(signal: string): string {
  return nameOf(reference.pins.find((pin) => pin.signal === signal)!);
}

describe.each(boards.map((board) => [board.board, board] as const))('"contacts" on the %s board', (_, board) => {
  const shown = contactsOf(BOARDS[board.code]!);

  test('calls each input as the table does, and says open or closed as it does', () => {
    // The spare reference is kept for builders: no report tells it.
    const wanted = inputsOf(board).filter(({ signal }) => signal !== 'turntableReference');
    expect(shown.map(({ name, asserted }) => [name, asserted])).toEqual(
      wanted.map((pin) => [nameOf(pin), pin.asserted]),
    );
    expect(new Set(shown.map(({ name }) => name)).size).toBe(shown.length);
  });

  test('leaves out nothing that a report of this board tells', () => {
    const onTheSmall = (key: string): boolean => !/^(lapTurnReference|freeOfGlass)$/.test(key);
    const told = Object.keys(INPUT_BITS).filter((key) => board.board === 'reference' || onTheSmall(key));
    expect(shown.flatMap(({ keys }) => keys).sort()).toEqual(told.sort());
  });
});

test('inputs stand in the reports at the bits of their pins', () => {
  // SPEC 6: port K is the low byte, port F the high one (avr/board.h reads them whole).
  for (const { signal, port, bit } of inputsOf(reference)) {
    if (signal === 'turntableReference') continue;
    expect(INPUT_BITS[signal as keyof typeof INPUT_BITS], signal).toBe(1 << (bit + (port === 'F' ? 8 : 0)));
  }
});

describe('messages of a run', () => {
  test.each([
    ['halt', 'halt'],
    ['drive fault', 'driveFault'],
    ['guard open', 'guard'],
  ] as const)('a stop by %s speaks of the contact as the table does', (cause, signal) => {
    const words = STOP_CAUSE_WORDS[cause];
    for (const word of tellingWords(nameOfSignal(signal))) expect(words).toContain(word);
  });

  test('a search names its switch as the table does', () => {
    const text = readFileSync(join(ROOT, 'firmware-host', 'run', 'reference.ts'), 'utf8');
    const found = [...text.matchAll(/input: '(\w+)'[^{}]*words: '([^']+)'/g)];
    expect(found.map(([, input]) => input).sort()).toEqual(['index', 'lapTurnReference', 'radialHigh', 'strokeLow']);
    for (const [, input, words] of found)
      for (const word of tellingWords(nameOfSignal(input!))) expect(words!.toLowerCase(), input).toContain(word);
  });
});

test('the pages name no pin or contact by themselves: they show what the host says', () => {
  // Signals of one plain word (index, lower) stand for other things as well.
  const all = boards.flatMap(({ pins }) => pins.map(({ signal }) => signal));
  const signals = new Set(all.filter((signal) => /[A-Z.]/.test(signal)));
  const names = boards.flatMap(({ pins }) => pins.map(nameOf));
  const found: string[] = [];
  for (const file of readdirSync(join(ROOT, 'web-ui'), { recursive: true, encoding: 'utf8' })) {
    if (!/\.tsx?$/.test(file) || /^dist/.test(file)) continue;
    const text = readFileSync(join(ROOT, 'web-ui', file), 'utf8');
    for (const signal of signals)
      if (text.includes(`'${signal}'`) || text.includes(`.${signal}`)) found.push(`${file}: ${signal}`);
    for (const name of names) if (text.includes(name)) found.push(`${file}: ${name}`);
  }
  expect(found).toEqual([]);
});

test('a contact that a stand turns round is shown as it is wired there', () => {
  const shown = contactsOf(BOARDS[2]!, { index: 'open' });
  const standard = contactsOf(BOARDS[2]!);
  expect(shown.filter((one, i) => one.asserted !== standard[i]!.asserted).map(({ keys }) => keys)).toEqual([['index']]);
});

test('commissioning quotes contacts by the names of the table', () => {
  const page = readFileSync(join(ROOT, 'hardware-notes', 'COMMISSIONING.md'), 'utf8');
  for (const signal of ['liftUp', 'freeOfGlass']) expect(page).toContain(`"${nameOfSignal(signal)}"`);
});

test('a stand file may turn round outputs and marks of the table, and has a reason against every other signal', () => {
  expect(boards.map(({ board }) => board)).toEqual([...BOARD_NAMES]);
  const never = new Set<string>();
  for (const { board, pins } of boards) {
    const signals = pins.filter(({ kind }) => kind === 'output' || kind === 'input').map(({ signal }) => signal);
    const refused = signals.filter((signal) => NEVER_TURNED[signal] !== undefined);
    expect([...turnable(board), ...refused].sort()).toEqual([...signals].sort());
    for (const signal of refused) never.add(signal);
    const outputs = pins.filter(({ kind }) => kind === 'output').map(({ signal }) => signal);
    expect(outputs.filter((signal) => refused.includes(signal))).toEqual(['lower']);
  }
  expect([...never].sort()).toEqual(Object.keys(NEVER_TURNED).sort());
});
