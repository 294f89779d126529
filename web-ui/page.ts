/** Which page is shown: kept in the address, so that the browser's own Back and bookmarks work. */
import { signal } from '@preact/signals';

export const PAGES = { measure: 'Measure', plan: 'Plan', run: 'Run' } as const;
export type PageName = keyof typeof PAGES;

function inAddress(): PageName {
  const name = new URLSearchParams(location.hash.slice(1)).get('page');
  return name !== null && Object.hasOwn(PAGES, name) ? (name as PageName) : 'run';
}

export const page = signal<PageName>(inAddress());
addEventListener('hashchange', () => {
  const next = inAddress();
  if (next === page.value) return;
  page.value = next;
  // Another page begins at its head, wherever the one before was scrolled to.
  scrollTo(0, 0);
});

export function goTo(name: PageName): void {
  location.hash = `page=${name}`;
}
