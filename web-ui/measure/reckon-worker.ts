/** Reduces and suggests off the page's own thread. What only a suggestion needs is fetched when one is asked for. */
import { type Ask, type Reckoned, reckon } from './reckon';

addEventListener('message', ({ data }: MessageEvent<Ask>) => {
  // In a worker there is no target origin; the types of a page's window want one.
  const say = (answer: Reckoned): void =>
    (self as unknown as { postMessage(answer: Reckoned): void }).postMessage(answer);
  void reckon(data, say, {
    suggesting: () => import('./suggested'),
    solving: () => import('../../planner/suggest/milp').then(({ loadSolver }) => loadSolver()),
  });
});
