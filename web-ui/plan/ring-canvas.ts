/** The Evenness ring: the glass from above, with a mark at every azimuth at which the stroke turns round. */
import { logDrawn } from '../run/draw-log';
import type { Brush } from './brush';
import type { Ring } from './forecast';

export function drawRing(ctx: CanvasRenderingContext2D, ring: Ring, sizePx: number, brush: Brush): void {
  const { ink, ratio } = brush;
  ctx.setTransform(ratio, 0, 0, ratio, 0, 0);
  ctx.clearRect(0, 0, sizePx, sizePx);
  const middle = sizePx / 2;
  const radius = middle - 20;
  ctx.beginPath();
  ctx.arc(middle, middle, radius, 0, 2 * Math.PI);
  ctx.fillStyle = ink.glass;
  ctx.fill();
  ctx.strokeStyle = ink.soft;
  ctx.lineWidth = 1.5;
  ctx.stroke();
  ctx.beginPath();
  ctx.arc(middle, middle, radius * 0.7, 0, 2 * Math.PI);
  ctx.strokeStyle = ink.line;
  ctx.lineWidth = 1;
  ctx.stroke();

  // The index at the top. The glass turns anticlockwise under the lap, so the places follow each other clockwise on it.
  const at = (turns: number, share: number): [number, number] => {
    const angle = -Math.PI / 2 + 2 * Math.PI * turns;
    return [middle + radius * share * Math.cos(angle), middle + radius * share * Math.sin(angle)];
  };
  const ticks = (places: readonly number[], from: number, to: number, colour: string): void => {
    ctx.beginPath();
    for (const place of places) {
      ctx.moveTo(...at(place, from));
      ctx.lineTo(...at(place, to));
    }
    ctx.strokeStyle = colour;
    ctx.lineWidth = places.length > 240 ? 0.75 : 1.25;
    ctx.stroke();
  };
  ticks(ring.near, 0.7, 0.8, ink.trail);
  ticks(ring.far, 0.86, 0.96, ink.trail);
  ctx.fillStyle = ink.ink;
  for (const place of ring.nudged) {
    const [x, y] = at(place, 0.58);
    ctx.beginPath();
    ctx.arc(x, y, ring.nudged.length > 90 ? 2 : 3.5, 0, 2 * Math.PI);
    ctx.fill();
    ctx.strokeStyle = ink.ink;
    ctx.lineWidth = 1;
    ctx.beginPath();
    ctx.moveTo(x, y);
    ctx.lineTo(...at(place, 0.96));
    ctx.globalAlpha = 0.35;
    ctx.stroke();
    ctx.globalAlpha = 1;
  }
  ctx.fillStyle = ink.ink;
  ctx.beginPath();
  ctx.moveTo(middle, 16);
  ctx.lineTo(middle - 7, 3);
  ctx.lineTo(middle + 7, 3);
  ctx.fill();
  logDrawn({ what: 'ring', near: ring.near.length, far: ring.far.length, nudged: ring.nudged.length });
}
