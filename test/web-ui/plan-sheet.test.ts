/** The drawing that can be pulled: where things lie, what a hand takes hold of, what pulling does; numbers as they are typed. */
import { describe, expect, it } from 'vitest';
import { readProgram } from '../../planner/program/read-program';
import { firstStint, type StintDraft } from '../../web-ui/plan/draft';
import {
  A_MINUTE,
  DEGREES,
  leftWords,
  lengthUnit,
  numberTrouble,
  shown,
  TURNS,
  understood,
} from '../../web-ui/plan/number-entry';
import {
  depthRange,
  fromSheet,
  type Handle,
  handleAt,
  handlePlaces,
  layOut,
  niceStep,
  pull,
  SNAP_MM,
  takeHold,
  toSheet,
} from '../../web-ui/plan/sheet-geometry';
import { demoShelf, exampleText } from '../program/reading';
import { glass300, starLap } from '../support/programs';

const SIZE = { widthPx: 600, heightPx: 560 };
const stint = (part: Partial<StintDraft> = {}): StintDraft => ({
  ...firstStint(1, glass300, starLap(8)),
  settingMm: 90,
  lengthMm: 80,
  ...part,
});
const full = stint({ shape: 'ellipse', widthMm: 40, nudged: true, nudgeByMm: 25 });

describe.each(['end of the stroke', 'start of the stroke', 'working side'] as const)('seen from the %s', (standing) => {
  const sheet = layOut(SIZE, glass300, full, standing, null);

  it('places go there and back', () => {
    const there = toSheet(sheet, -31.5, 88.25);
    const back = fromSheet(sheet, there);
    expect(back.xMm).toBeCloseTo(-31.5, 9);
    expect(back.yMm).toBeCloseTo(88.25, 9);
  });

  it('it is a view from above: turned, never mirrored', () => {
    const at = (x: number, y: number) => toSheet(sheet, x, y);
    const [o, x, y] = [at(0, 0), at(1, 0), at(0, 1)];
    // Pixels grow downward, so anticlockwise from x to y is a negative product here.
    const turn = (x.xPx - o.xPx) * (y.yPx - o.yPx) - (x.yPx - o.yPx) * (y.xPx - o.xPx);
    expect(turn).toBeLessThan(0);
  });

  it('rim and both ends of the stroke are in the picture', () => {
    for (const [xMm, yMm] of [
      [0, 150],
      [-40, 90],
      [40, 90],
      [0, 0],
    ] as const) {
      const { xPx, yPx } = toSheet(sheet, xMm, yMm);
      expect(xPx).toBeGreaterThan(0);
      expect(xPx).toBeLessThan(SIZE.widthPx);
      expect(yPx).toBeGreaterThan(8);
      expect(yPx).toBeLessThan(sheet.scaleTopPx - 8);
    }
  });

  it('each handle is found under the pointer, and the lap carries the setting', () => {
    const places = handlePlaces(sheet, full);
    for (const [handle, place] of Object.entries(places) as [Handle, { xPx: number; yPx: number }][])
      expect(handleAt(sheet, full, 40, { xPx: place.xPx + 3, yPx: place.yPx - 3 })).toBe(handle);
    expect(handleAt(sheet, full, 40, toSheet(sheet, 12, 68))).toBe('setting');
    expect(handleAt(sheet, full, 40, toSheet(sheet, 0, 20))).toBeNull();
  });

  it('pulling a handle by so many mm changes its value by as many, and nothing jumps when it is taken', () => {
    const by = (handle: Handle, xMm: number, yMm: number) => {
      const place = handlePlaces(sheet, full)[handle]!;
      const taken = { xPx: place.xPx + 5, yPx: place.yPx + 4 };
      const grip = takeHold(sheet, full, handle, taken);
      const k = sheet.side * sheet.pxPerMm;
      const to = { xPx: taken.xPx + k * yMm, yPx: taken.yPx + k * xMm };
      return pull(sheet, full, glass300, grip, to, SNAP_MM.mm);
    };
    expect(by('setting', 0, 0)).toEqual({ settingMm: 90 });
    expect(by('setting', 7, -12)).toEqual({ settingMm: 78 });
    expect(by('near end', -10, 3)).toEqual({ lengthMm: 100 });
    expect(by('far end', -10, 0)).toEqual({ lengthMm: 60 });
    expect(by('width', 0, 4)).toEqual({ widthMm: 48 });
    expect(by('nudge', 0, -5)).toEqual({ nudgeByMm: 30 });
    expect(by('nudge', 0, 33)).toEqual({ nudgeByMm: -8 });
  });

  it('pulling too far stops at what can be', () => {
    const grip = takeHold(sheet, full, 'setting', { xPx: 0, yPx: 0 });
    const far = pull(sheet, full, glass300, grip, { xPx: 9_000 * sheet.side, yPx: 0 }, 0.5);
    expect(far).toEqual({ settingMm: 150 });
    const near = takeHold(sheet, full, 'near end', { xPx: 0, yPx: 0 });
    expect(pull(sheet, full, glass300, near, { xPx: 0, yPx: 9_000 * sheet.side }, 0.5)).toEqual({ lengthMm: 0.5 });
  });
});

it('a nudge cannot be pulled to nothing', () => {
  const sheet = layOut(SIZE, glass300, full, 'end of the stroke', null);
  const grip = takeHold(sheet, full, 'nudge', handlePlaces(sheet, full).nudge!);
  expect(pull(sheet, full, glass300, grip, toSheet(sheet, 40, 90.1), 0.5)).toEqual({});
});

it('a long stroke makes the picture smaller, and a kept scale does not', () => {
  const short = layOut(SIZE, glass300, stint(), 'end of the stroke', null);
  const long = layOut(SIZE, glass300, stint({ lengthMm: 220 }), 'end of the stroke', null);
  expect(long.pxPerMm).toBeLessThan(short.pxPerMm);
  expect(layOut(SIZE, glass300, stint({ lengthMm: 220 }), 'end of the stroke', short.pxPerMm).pxPerMm).toBe(
    short.pxPerMm,
  );
});

it('the depth scale grows at once and shrinks only when the curve has become small in it', () => {
  const first = depthRange(80, 0);
  expect(first).toBeGreaterThanOrEqual(80 * 1.12);
  expect(depthRange(70, first)).toBe(first);
  expect(depthRange(first, first)).toBeGreaterThan(first);
  expect(depthRange(20, first)).toBeLessThan(first);
  expect(depthRange(0, 0)).toBeGreaterThan(0);
});

it('scales step by 1, 2 or 5', () => {
  expect([0.7, 9, 150, 5.9, 31].map((range) => niceStep(range, 5))).toEqual([0.2, 2, 50, 2, 10]);
});

describe('a number that is typed', () => {
  const [mm, inch] = [lengthUnit('mm'), lengthUnit('in')];

  it('is in the shown unit unless it says otherwise', () => {
    expect(understood('90', mm)).toBe(90);
    expect(understood('90,5', mm)).toBe(90.5);
    expect(understood('3.5 in', mm)).toBe(88.9);
    expect(understood('3.5', inch)).toBe(88.9);
    expect(understood('90 mm', inch)).toBe(90);
    expect(understood('0.1 turns', DEGREES)).toBe(36);
    expect(understood('1 /s', A_MINUTE)).toBe(60);
    expect(understood('−8', mm)).toBe(-8);
  });

  it.each(['', 'x', '90 deg', '1.2.3', '1,000.5', 'NaN', 'Infinity', '--3'])('is not understood as %j', (text) => {
    expect(understood(text, mm)).toBeNull();
  });

  it('is shown back as it was typed', () => {
    for (const text of ['3.54', '0.02', '4.655', '11.811']) expect(shown(understood(text, inch)!, inch)).toBe(text);
    expect(shown(-0, mm)).toBe('0');
  });

  it('is told off in words where it cannot be taken', () => {
    expect(numberTrouble(understood('200', mm), mm, 0, 150)).toBe('Between 0 and 150 mm.');
    expect(numberTrouble(understood('8', inch), inch, 0, 152.4)).toBe('Between 0 and 6 in.');
    // The page says of turns what the reader of files says.
    const { why } = TURNS;
    const text = exampleText('short-check.yaml').replace(/turns: \d+/, 'turns: 2.5');
    expect(readProgram(text, '', demoShelf()).complaints[0]!.message).toContain(why);
    expect(numberTrouble(understood('2.5', TURNS), TURNS, 1, 20_000)).toBe(why);
    expect(numberTrouble(understood('0', TURNS), TURNS, 1, 20_000)).toBe(`Between 1 and 20000 turns. ${why}`);
    expect(leftWords(' 2.5', why!, 136, TURNS)).toBe(`"2.5" was not taken; 136 turns as before. ${why}`);
    expect(numberTrouble(understood('many', TURNS), TURNS, 1, 20_000)).toBe('This is not a number.');
    expect(numberTrouble(understood('7', TURNS), TURNS, 1, 20_000)).toBeNull();
  });
});
