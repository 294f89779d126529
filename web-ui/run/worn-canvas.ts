/** The virtual glass along its radius before and after a run: heights above the asked curve, far larger than life. */
import { type Brush, label, line, usePixels } from '../plan/brush';
import { niceStep } from '../plan/sheet-geometry';
import { type LengthUnit, lengthWords } from '../words';

export interface WornScene {
  radiusMm: readonly number[];
  beforeNm: readonly number[];
  afterNm: readonly number[];
  unit: LengthUnit;
}

const MARGIN = { left: 58, right: 14, top: 22, bottom: 26 };
const MARKS_DOWN = 4;
const MARKS_ACROSS = 6;

export function drawWorn(
  ctx: CanvasRenderingContext2D,
  scene: WornScene,
  size: { widthPx: number; heightPx: number },
  brush: Brush,
): void {
  const { radiusMm, beforeNm, afterNm } = scene;
  const { ink } = brush;
  const width = size.widthPx - MARGIN.left - MARGIN.right;
  const height = size.heightPx - MARGIN.top - MARGIN.bottom;
  const rimMm = radiusMm[radiusMm.length - 1]!;
  const all = [...beforeNm, ...afterNm, 0];
  const step = niceStep(Math.max(1, Math.max(...all) - Math.min(...all)), MARKS_DOWN);
  const low = Math.floor(Math.min(...all) / step) * step;
  const high = Math.ceil(Math.max(...all) / step) * step;
  const x = (mm: number): number => MARGIN.left + (width * mm) / rimMm;
  const y = (nm: number): number => MARGIN.top + (height * (high - nm)) / (high - low);

  usePixels(ctx, brush);
  ctx.fillStyle = ink.paper;
  ctx.fillRect(0, 0, size.widthPx, size.heightPx);
  ctx.font = `13px ${brush.font}`;
  ctx.textBaseline = 'middle';
  ctx.textAlign = 'right';
  for (let nm = low; nm <= high + step / 2; nm += step) {
    ctx.strokeStyle = ink.line;
    ctx.lineWidth = 1;
    line(ctx, MARGIN.left, y(nm), MARGIN.left + width, y(nm));
    label(ctx, `${Number(nm.toPrecision(6))} nm`, MARGIN.left - 6, y(nm), ink.ink, ink.paper);
  }
  ctx.textBaseline = 'top';
  ctx.textAlign = 'center';
  const across = niceStep(rimMm, MARKS_ACROSS);
  for (let mm = 0; mm <= rimMm; mm += across)
    label(ctx, lengthWords(mm, scene.unit), Math.min(x(mm), size.widthPx - 24), size.heightPx - 20, ink.ink, ink.paper);

  const curve = (heights: readonly number[]): void => {
    ctx.beginPath();
    for (const [i, mm] of radiusMm.entries()) ctx.lineTo(x(mm), y(heights[i]!));
  };
  // What is gone lies between the two.
  curve(beforeNm);
  for (let i = radiusMm.length - 1; i >= 0; i--) ctx.lineTo(x(radiusMm[i]!), y(afterNm[i]!));
  ctx.closePath();
  ctx.globalAlpha = 0.22;
  ctx.fillStyle = ink.trail;
  ctx.fill();
  ctx.globalAlpha = 1;
  ctx.strokeStyle = ink.warm;
  ctx.lineWidth = 2.5;
  ctx.setLineDash([9, 5]);
  curve(beforeNm);
  ctx.stroke();
  ctx.setLineDash([]);
  ctx.strokeStyle = ink.trail;
  ctx.lineWidth = 3;
  curve(afterNm);
  ctx.stroke();
}
