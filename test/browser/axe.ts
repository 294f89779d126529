/**
 * axe-core (WCAG 2.0, 2.1, 2.2, levels A and AA) on what a page shows now, in the three looks. What axe cannot decide by itself
 * ("incomplete") is compared with a written list: something new there must be looked at by a person.
 */
import axe from 'axe-core';
import type { Page } from 'playwright-core';
import { expect } from 'vitest';

const TAGS = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];
/** Contrast where something lies over something else; the tokens' own contrast is computed in test/web-ui/contrast.test.ts. */
const LOOKED_AT = new Set(['color-contrast']);

export async function scan(page: Page, where: string): Promise<void> {
  await page.evaluate(axe.source);
  for (const look of ['light', 'dark', 'red']) {
    await page.evaluate((wanted) => {
      document.documentElement.dataset.look = wanted;
    }, look);
    const { violations, incomplete } = await page.evaluate(
      (tags) => (globalThis as unknown as { axe: typeof axe }).axe.run({ runOnly: tags }),
      TAGS,
    );
    const found = violations.map(
      (one) => `${where}, ${look}: ${one.id} at ${one.nodes.map((node) => node.target.join(' ')).join('; ')}`,
    );
    expect(found).toEqual([]);
    expect(
      incomplete.map((one) => one.id).filter((id) => !LOOKED_AT.has(id)),
      `${where}, ${look}`,
    ).toEqual([]);
  }
}
