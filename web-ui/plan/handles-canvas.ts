/** What a hand can take hold of, and its value while it is held. */
import { type LengthUnit, lengthWords } from '../words';
import { type Brush, label, line, type SheetScene } from './brush';
import type { StintDraft } from './draft';
import { type Handle, handlePlaces, type Point, type Sheet } from './sheet-geometry';

const NAMES: Record<Handle, (stint: StintDraft, unit: LengthUnit) => string> = {
  setting: ({ settingMm }, unit) => lengthWords(settingMm, unit),
  'near end': ({ lengthMm }, unit) => `${lengthWords(lengthMm, unit)} long`,
  'far end': ({ lengthMm }, unit) => `${lengthWords(lengthMm, unit)} long`,
  width: ({ widthMm }, unit) => `${lengthWords(widthMm, unit)} wide`,
  nudge: ({ nudgeByMm }, unit) => `${lengthWords(Math.abs(nudgeByMm), unit)} ${nudgeByMm > 0 ? 'in' : 'out'}`,
};

export function drawHandles(ctx: CanvasRenderingContext2D, scene: SheetScene, sheet: Sheet, brush: Brush): void {
  const places = handlePlaces(sheet, scene.stint);
  for (const [handle, place] of Object.entries(places) as [Handle, Point][])
    if (handle !== 'setting') drawHandle(ctx, handle, place, scene, brush);
  drawThumb(ctx, places.setting!, scene, brush);
}

function drawHandle(
  ctx: CanvasRenderingContext2D,
  handle: Handle,
  { xPx, yPx }: Point,
  scene: SheetScene,
  brush: Brush,
): void {
  const { ink } = brush;
  const active = scene.active === handle;
  const radius = active ? 12 : 9;
  const along = handle === 'near end' || handle === 'far end';
  ctx.beginPath();
  ctx.arc(xPx, yPx, radius, 0, 2 * Math.PI);
  ctx.fillStyle = active ? ink.ink : ink.sheet;
  ctx.fill();
  ctx.strokeStyle = handle === 'nudge' ? ink.warm : ink.ink;
  ctx.lineWidth = 2;
  ctx.stroke();
  // Two strokes across the way it can be pulled.
  ctx.strokeStyle = active ? ink.sheet : ink.ink;
  ctx.lineWidth = 1.5;
  for (const off of [-2, 2]) {
    if (along) line(ctx, xPx - 4, yPx + off, xPx + 4, yPx + off);
    else line(ctx, xPx + off, yPx - 4, xPx + off, yPx + 4);
  }
  if (!active) return;
  ctx.font = `600 15px ${brush.font}`;
  ctx.textAlign = 'left';
  ctx.textBaseline = 'middle';
  label(ctx, NAMES[handle](scene.stint, scene.unit), xPx + radius + 8, yPx, ink.ink, ink.glass);
}

/** The setting, on the radius axis. */
function drawThumb(ctx: CanvasRenderingContext2D, { xPx, yPx }: Point, scene: SheetScene, brush: Brush): void {
  const { ink } = brush;
  const active = scene.active === 'setting';
  ctx.font = `600 14px ${brush.font}`;
  const words = NAMES.setting(scene.stint, scene.unit);
  const half = Math.max(30, ctx.measureText(words).width / 2 + 12);
  ctx.beginPath();
  ctx.roundRect(xPx - half, yPx - 15, 2 * half, 30, 15);
  ctx.fillStyle = active ? ink.ink : ink.sheet;
  ctx.fill();
  ctx.strokeStyle = ink.ink;
  ctx.lineWidth = 2;
  ctx.stroke();
  ctx.fillStyle = active ? ink.sheet : ink.ink;
  ctx.textAlign = 'center';
  ctx.textBaseline = 'middle';
  ctx.fillText(words, xPx, yPx + 1);
}
