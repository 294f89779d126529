/** The glass cut open along the radius: what is taken off, by how much, and what was pinned. */
import { peakIndex } from '../../planner/removal/profile-measures';
import { lengthWords } from '../words';
import { type Brush, type Curve, label, line, type SheetScene, usePixels } from './brush';
import { nmWords } from './plan-words';
import { niceStep, type Sheet, toSheet } from './sheet-geometry';

export function drawCut(ctx: CanvasRenderingContext2D, scene: SheetScene, sheet: Sheet, brush: Brush): void {
  const { ink } = brush;
  const rimMm = scene.glass.diameterMm / 2;
  const { from, to } = visibleMm(sheet);
  const ends = [Math.max(-rimMm, from), Math.min(rimMm, to)].map((mm) => toSheet(sheet, 0, mm).xPx);
  const [left, right] = [Math.min(...ends), Math.max(...ends)];
  usePixels(ctx, brush);
  const body = ctx.createLinearGradient(0, sheet.faceYPx, 0, sheet.heightPx);
  body.addColorStop(0, ink.glassDeep);
  body.addColorStop(1, ink.glass);
  ctx.fillStyle = body;
  ctx.fillRect(left, sheet.faceYPx, right - left, sheet.heightPx - sheet.faceYPx);
  drawDepthScale(ctx, scene, sheet, brush, left, right);
  if (scene.curve && !scene.unworkable) drawHollow(ctx, scene, scene.curve, sheet, brush);
  ctx.strokeStyle = ink.soft;
  ctx.lineWidth = 1;
  ctx.setLineDash([2, 3]);
  line(ctx, left, sheet.faceYPx, right, sheet.faceYPx);
  ctx.setLineDash([]);
  const stroke = (curve: Curve, colour: string, lineWidth: number, dashes: number[] = []): void => {
    ctx.strokeStyle = colour;
    ctx.lineWidth = lineWidth;
    ctx.setLineDash(dashes);
    curvePath(ctx, curve, scene, sheet);
    ctx.stroke();
    ctx.setLineDash([]);
  };
  if (scene.own && !scene.unworkable) stroke(scene.own, ink.ink, 1.25);
  if (scene.pinned) stroke(scene.pinned, ink.warm, 2.5, [9, 5]);
  if (scene.curve && scene.unworkable) stroke(scene.curve, ink.soft, 2, [3, 5]);
  else if (scene.curve) {
    stroke(scene.curve, ink.trail, 3);
    namePeaks(ctx, scene, scene.curve, sheet, brush);
  }
  if (scene.unworkable) {
    ctx.font = `600 15px ${brush.font}`;
    ctx.textAlign = 'center';
    ctx.textBaseline = 'bottom';
    label(ctx, UNWORKABLE, sheet.widthPx / 2, sheet.heightPx - 8, ink.warm, ink.glass);
  }
}

const UNWORKABLE = 'Cannot be worked as it stands: no forecast';

/** What is taken off: the glass is gone there, and hatched. */
function drawHollow(ctx: CanvasRenderingContext2D, scene: SheetScene, curve: Curve, sheet: Sheet, brush: Brush): void {
  const { ink } = brush;
  ctx.save();
  const { firstXPx, lastXPx } = curvePath(ctx, curve, scene, sheet);
  ctx.lineTo(lastXPx, sheet.faceYPx);
  ctx.lineTo(firstXPx, sheet.faceYPx);
  ctx.closePath();
  ctx.fillStyle = ink.paper;
  ctx.fill();
  ctx.clip();
  ctx.globalAlpha = 0.4;
  ctx.strokeStyle = ink.trail;
  ctx.lineWidth = 1;
  ctx.beginPath();
  const height = sheet.heightPx - sheet.faceYPx;
  for (let x = -height; x < sheet.widthPx; x += 9) {
    ctx.moveTo(x, sheet.heightPx);
    ctx.lineTo(x + height, sheet.faceYPx);
  }
  ctx.stroke();
  ctx.restore();
}

function drawDepthScale(
  ctx: CanvasRenderingContext2D,
  scene: SheetScene,
  sheet: Sheet,
  brush: Brush,
  left: number,
  right: number,
): void {
  const { ink } = brush;
  const step = niceStep(scene.rangeNm, 3);
  ctx.font = `13px ${brush.font}`;
  ctx.textBaseline = 'middle';
  ctx.textAlign = sheet.side === 1 ? 'left' : 'right';
  for (let nm = step; nm <= scene.rangeNm * 1.001; nm += step) {
    const y = depthY(sheet, nm, scene.rangeNm);
    ctx.strokeStyle = ink.line;
    ctx.lineWidth = 1;
    line(ctx, left, y, right, y);
    const words = `${Number(nm.toPrecision(6))} nm`;
    label(ctx, words, sheet.side === 1 ? left + 6 : right - 6, y, ink.ink, ink.glass);
  }
}

/** Radii visible in the picture, from beyond the axis to beyond the rim. */
function visibleMm(sheet: Sheet): { from: number; to: number } {
  const at = (xPx: number): number => (sheet.side * (xPx - sheet.axisXPx)) / sheet.pxPerMm;
  const [a, b] = [at(0), at(sheet.widthPx)];
  return { from: Math.min(a, b), to: Math.max(a, b) };
}

export function depthY(sheet: Sheet, nm: number, rangeNm: number): number {
  return sheet.faceYPx + ((sheet.deepestYPx - sheet.faceYPx) * nm) / rangeNm;
}

/** The curve across the picture, mirrored beyond the axis. Returns where it begins and ends. */
function curvePath(
  ctx: CanvasRenderingContext2D,
  curve: Curve,
  scene: SheetScene,
  sheet: Sheet,
): { firstXPx: number; lastXPx: number } {
  const { stepMm, depthNm } = curve;
  const rim = Math.floor(scene.glass.diameterMm / 2 / stepMm);
  const first = Math.max(-rim, Math.floor(visibleMm(sheet).from / stepMm));
  const x = (j: number): number => toSheet(sheet, 0, j * stepMm).xPx;
  ctx.beginPath();
  for (let j = first; j <= rim; j++) ctx.lineTo(x(j), depthY(sheet, depthNm[Math.abs(j)] ?? 0, scene.rangeNm));
  return { firstXPx: x(first), lastXPx: x(rim) };
}

export function peakOf(curve: Curve): { radiusMm: number; depthNm: number } {
  const at = peakIndex(curve);
  return { radiusMm: at * curve.stepMm, depthNm: curve.depthNm[at]! };
}

function namePeaks(ctx: CanvasRenderingContext2D, scene: SheetScene, curve: Curve, sheet: Sheet, brush: Brush): void {
  const { ink } = brush;
  ctx.textAlign = 'center';
  ctx.textBaseline = 'top';
  const name = (of: Curve, prefix: string, colour: string, row: number): void => {
    const { radiusMm, depthNm } = peakOf(of);
    const words = `${prefix}${nmWords(depthNm)} at ${lengthWords(radiusMm, scene.unit)}`;
    const y = Math.min(sheet.heightPx - 18, depthY(sheet, depthNm, scene.rangeNm) + 7 + row);
    const half = ctx.measureText(words).width / 2 + 6;
    const x = Math.min(sheet.widthPx - half, Math.max(half, toSheet(sheet, 0, radiusMm).xPx));
    label(ctx, words, x, y, colour, ink.glass);
  };
  ctx.font = `600 14px ${brush.font}`;
  name(curve, '', ink.ink, 0);
  if (!scene.pinned) return;
  // Where the two lie on each other, the names stand one under the other.
  const apart =
    depthY(sheet, peakOf(curve).depthNm, scene.rangeNm) - depthY(sheet, peakOf(scene.pinned).depthNm, scene.rangeNm);
  ctx.font = `13px ${brush.font}`;
  name(scene.pinned, 'pinned: ', ink.ink, Math.abs(apart) < 18 ? 18 + Math.max(0, apart) : 0);
}
