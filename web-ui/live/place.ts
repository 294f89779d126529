/**
 * The place on the path as last heard, and where it is now. A plain store: canvases read it once a frame; the few numbers shown as
 * text are signals, renewed at most ten times a second.
 */
import { signal } from '@preact/signals';
import type { Tick } from '../../firmware-host/server/messages';

/** Without news for this long the page says that what it shows is old. */
export const STALE_MS = 1_000;
/** Beyond the last tick the place is carried on at the last speed, but no further than this. */
const CARRY_ON_MS = 250;
const TEXT_EVERY_MS = 100;

export const tick = signal<Tick | null>(null);
export const stale = signal(false);

let last: Tick | null = null;
let lastAtMs = 0;
let textAtMs = 0;

export function takeTick(news: Tick): void {
  const nowMs = performance.now();
  last = news;
  lastAtMs = nowMs;
  stale.value = false;
  if (nowMs - textAtMs >= TEXT_EVERY_MS || news.turnsPerSecond === 0) {
    textAtMs = nowMs;
    tick.value = news;
  }
}

/** Turns walked now, for drawing. */
export function turnsNow(nowMs: number): number {
  if (last === null) return 0;
  const ageMs = Math.min(CARRY_ON_MS, Math.max(0, nowMs - lastAtMs));
  return last.turnsWalked + (last.turnsPerSecond * ageMs) / 1000;
}

/** The message that what is drawn now goes back to: for measuring how old a drawn place is. */
export function lastTick(): Tick | null {
  return last;
}

/** Called a few times a second; there is no event for news that does not come. */
export function checkStale(nowMs: number): void {
  stale.value = last !== null && nowMs - lastAtMs > STALE_MS;
}
