/** Draws the sheet: the stint from above, and the glass cut open along the radius under it, on one and the same radius axis. */
import { logDrawn } from '../run/draw-log';
import { drawFromAbove } from './above-canvas';
import { type Brush, label, line, type SheetScene, usePixels } from './brush';
import { depthY, drawCut, peakOf } from './cut-canvas';
import { drawHandles } from './handles-canvas';
import { handlePlaces, niceStep, type Sheet, toSheet } from './sheet-geometry';

export function drawSheet(ctx: CanvasRenderingContext2D, scene: SheetScene, sheet: Sheet, brush: Brush): void {
  usePixels(ctx, brush);
  ctx.clearRect(0, 0, sheet.widthPx, sheet.heightPx);
  drawFromAbove(ctx, scene, sheet, brush);
  drawCut(ctx, scene, sheet, brush);
  drawScale(ctx, scene, sheet, brush);
  drawGuides(ctx, scene, sheet, brush);
  drawHandles(ctx, scene, sheet, brush);
  drawStanding(ctx, scene, sheet, brush);
  log(scene, sheet);
}

function drawScale(ctx: CanvasRenderingContext2D, scene: SheetScene, sheet: Sheet, brush: Brush): void {
  const { ink } = brush;
  const perUnit = scene.unit === 'mm' ? 1 : 25.4;
  const rim = scene.glass.diameterMm / 2 / perUnit;
  const y = (sheet.scaleTopPx + sheet.scaleBottomPx) / 2;
  usePixels(ctx, brush);
  ctx.fillStyle = ink.paper;
  ctx.fillRect(0, sheet.scaleTopPx, sheet.widthPx, sheet.scaleBottomPx - sheet.scaleTopPx);
  ctx.strokeStyle = ink.soft;
  ctx.lineWidth = 1;
  const x = (inUnit: number): number => toSheet(sheet, 0, inUnit * perUnit).xPx;
  line(ctx, x(0), y, x(rim), y);
  const thumb = toSheet(sheet, 0, scene.stint.settingMm).xPx;
  const step = niceStep(rim, 5);
  ctx.font = `13px ${brush.font}`;
  ctx.textAlign = 'center';
  ctx.textBaseline = 'top';
  ctx.fillStyle = ink.soft;
  for (let tick = 0; tick <= rim * 1.0001; tick += step / 5) {
    const labelled = Math.abs(tick / step - Math.round(tick / step)) < 1e-6;
    line(ctx, x(tick), y - (labelled ? 7 : 4), x(tick), y + (labelled ? 7 : 4));
    const hidden = Math.abs(x(tick) - thumb) < 44;
    if (labelled && !hidden && rim - tick > step / 4)
      ctx.fillText(tick === 0 ? 'middle' : String(Number(tick.toFixed(2))), x(tick), y + 8);
  }
  line(ctx, x(rim), y - 9, x(rim), y + 9);
  ctx.fillText('rim', x(rim), y + 8);
}

/** From the lap's rims down to what they leave in the cut. */
function drawGuides(ctx: CanvasRenderingContext2D, scene: SheetScene, sheet: Sheet, brush: Brush): void {
  const { ink } = brush;
  const curve = scene.own ?? scene.curve;
  const half = scene.lap.outline.diameterMm / 2;
  usePixels(ctx, brush);
  for (const radiusMm of [scene.stint.settingMm - half, scene.stint.settingMm, scene.stint.settingMm + half]) {
    if (Math.abs(radiusMm) > scene.glass.diameterMm / 2) continue;
    const { xPx, yPx } = toSheet(sheet, 0, radiusMm);
    const depth = curve && !scene.unworkable ? (curve.depthNm[Math.round(Math.abs(radiusMm) / curve.stepMm)] ?? 0) : 0;
    const y = depthY(sheet, depth, scene.rangeNm);
    ctx.strokeStyle = ink.soft;
    ctx.lineWidth = 1;
    ctx.setLineDash([1, 4]);
    line(ctx, xPx, yPx, xPx, y);
    ctx.setLineDash([]);
    if (!curve || scene.unworkable) continue;
    ctx.beginPath();
    ctx.arc(xPx, y, 4, 0, 2 * Math.PI);
    ctx.fillStyle = ink.ink;
    ctx.fill();
  }
}

/** Where the person stands, so that left and right mean something. */
function drawStanding(ctx: CanvasRenderingContext2D, scene: SheetScene, sheet: Sheet, brush: Brush): void {
  const { ink } = brush;
  ctx.font = `14px ${brush.font}`;
  ctx.textBaseline = 'bottom';
  ctx.textAlign = 'left';
  if (scene.standing === 'working side') {
    ctx.save();
    ctx.translate(sheet.widthPx - 4, sheet.middleYPx);
    ctx.rotate(-Math.PI / 2);
    ctx.textAlign = 'center';
    label(ctx, 'You stand here', 0, 0, ink.soft, ink.paper);
    ctx.restore();
  } else label(ctx, 'You stand here', 8, sheet.scaleTopPx - 4, ink.ink, ink.glass);
}

function log(scene: SheetScene, sheet: Sheet): void {
  const { stint, curve, pinned, rangeNm } = scene;
  const peak = curve && !scene.unworkable ? peakOf(curve) : null;
  logDrawn({
    what: 'sheet',
    settingMm: stint.settingMm,
    lengthMm: stint.lengthMm,
    handles: handlePlaces(sheet, stint),
    peak: peak && {
      ...peak,
      xPx: toSheet(sheet, 0, peak.radiusMm).xPx,
      yPx: depthY(sheet, peak.depthNm, rangeNm),
    },
    pinnedPeak: pinned && peakOf(pinned),
  });
}
