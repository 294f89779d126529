/** The plan that a tab keeps over a reload. */
import { describe, expect, it } from 'vitest';
import type { Drawer } from '../../web-ui/drawer';
import { draftOf, newDraft } from '../../web-ui/plan/draft';
import { keep, kept } from '../../web-ui/plan/kept';
import { exampleText, readWell } from '../program/reading';

const EXAMPLES = ['raised-ring', 'long-mixed', 'by-hand', 'free-lap', 'steady-turning', 'both-senses', 'inches'];
const base = () => newDraft(readWell(exampleText('raised-ring.yaml')));

describe('what a tab keeps of a plan', () => {
  const storage = (): Drawer => {
    const held = new Map<string, string>();
    return {
      getItem: (key: string) => held.get(key) ?? null,
      setItem: (key: string, value: string) => void held.set(key, value),
    };
  };

  it.each(EXAMPLES)('is found again as it was: %s', (name) => {
    const edited = { draft: draftOf(readWell(exampleText(`${name}.yaml`))), selected: 1 };
    const tab = storage();
    keep(edited, tab);
    expect(kept(base(), tab)).toEqual(edited);
  });

  it('is left alone where it is none, is damaged, or is of another edition', () => {
    const edited = { draft: base(), selected: 1 };
    const whole = JSON.stringify(edited);
    for (const text of [
      null,
      '',
      '{',
      'null',
      '[]',
      '{"draft":{}}',
      whole.replace('"turns":9', '"turns":null'),
      whole.replace('"turns":9,', ''),
      whole.replace('"steps":[{', '"steps":[null,{'),
      whole.replace('"kind":"stint"', '"kind":"other"'),
      whole.replace('"selected":1', '"selected":"1"'),
      JSON.stringify({ ...edited, draft: { ...edited.draft, steps: [] } }),
    ]) {
      const tab = storage();
      if (text !== null) tab.setItem('wholeturn.plan', text);
      expect(kept(base(), tab), String(text)).toBeNull();
    }
    const full = {
      getItem: () => null,
      setItem: () => {
        throw new Error('full');
      },
    };
    expect(() => keep(edited, full)).not.toThrow();
  });
});
