/** The one animation loop. Canvases register a draw function; when nothing moved they return at once. */
import { checkStale } from './place';

type Draw = (nowMs: number) => void;
const draws = new Set<Draw>();
let running = false;

/** Draws every frame until the returned function is called. */
export function eachFrame(draw: Draw): () => void {
  draws.add(draw);
  if (!running) {
    running = true;
    requestAnimationFrame(loop);
  }
  return () => draws.delete(draw);
}

function loop(nowMs: number): void {
  for (const draw of draws) draw(nowMs);
  if (draws.size > 0) requestAnimationFrame(loop);
  else running = false;
}

// The loop sleeps with the tab; staleness is also looked at by a timer, so that a page that wakes up is honest at once.
setInterval(() => checkStale(performance.now()), 250);
