/** Reduces and suggests off the page's own thread. */
import { type Ask, type Reckoned, reckon } from './reckon';

addEventListener('message', ({ data }: MessageEvent<Ask>) => {
  void reckon(data, (answer) => {
    // In a worker there is no target origin; the types of a page's window want one.
    (self as unknown as { postMessage(answer: Reckoned): void }).postMessage(answer);
  });
});
