/** Draws the sheet: the stint from above, and the glass cut open along the radius under it, on one and the same radius axis. */
import { peakIndex } from '../../planner/removal/profile-measures';
import type { Standing } from '../../planner/removal/stint-forecast';
import type { Glass, Lap } from '../../planner/shelf/types';
import { logDrawn } from '../run/draw-log';
import { drawLap, type Ink, lapOutline } from '../run/glass-canvas';
import { type LengthUnit, lengthWords } from '../words';
import type { StintDraft } from './draft';
import { nmWords } from './plan-words';
import { type Handle, handlePlaces, niceStep, type Point, type Sheet, toSheet } from './sheet-geometry';

export interface Curve {
  stepMm: number;
  depthNm: Float64Array;
}

export interface SheetScene {
  glass: Glass;
  lap: Lap;
  stint: StintDraft;
  /** Of the whole program; null while there is none. */
  curve: Curve | null;
  /** Of this stint alone, where there are others. */
  own: Curve | null;
  pinned: Curve | null;
  /** Depth that the cut has room for. */
  rangeNm: number;
  unit: LengthUnit;
  standing: Standing;
  /** The handle that is held or pointed at. */
  active: Handle | null;
}

export interface Brush {
  ink: Ink & { paper: string; sheet: string };
  font: string;
  /** Device pixels per CSS pixel. */
  ratio: number;
}

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

function usePixels(ctx: CanvasRenderingContext2D, { ratio }: Brush): void {
  ctx.setTransform(ratio, 0, 0, ratio, 0, 0);
}

/** Returns the length of a CSS pixel in mm. */
function useStandFrame(ctx: CanvasRenderingContext2D, sheet: Sheet, { ratio }: Brush): number {
  const k = sheet.side * sheet.pxPerMm * ratio;
  ctx.setTransform(0, k, k, 0, sheet.axisXPx * ratio, sheet.middleYPx * ratio);
  return 1 / sheet.pxPerMm;
}

function drawFromAbove(ctx: CanvasRenderingContext2D, scene: SheetScene, sheet: Sheet, brush: Brush): void {
  const { glass, lap, stint } = scene;
  const { ink } = brush;
  ctx.save();
  ctx.beginPath();
  ctx.rect(0, 0, sheet.widthPx, sheet.scaleTopPx);
  ctx.clip();
  const px = useStandFrame(ctx, sheet, brush);
  drawGlass(ctx, glass, ink, px);

  ctx.strokeStyle = ink.soft;
  ctx.lineWidth = px;
  ctx.setLineDash([2 * px, 4 * px]);
  circle(ctx, stint.settingMm);
  ctx.stroke();
  ctx.setLineDash([]);

  for (const end of [-0.5, 0.5]) {
    ctx.save();
    ctx.translate(end * stint.lengthMm, stint.settingMm);
    lapOutline(ctx, lap);
    ctx.globalAlpha = 0.55;
    ctx.strokeStyle = ink.lap;
    ctx.lineWidth = px;
    ctx.stroke();
    ctx.restore();
  }
  ctx.save();
  ctx.translate(0, stint.settingMm);
  // Its first point towards the stroke's far end.
  drawLap(ctx, lap, true, ink, px);
  ctx.restore();
  drawWay(ctx, stint, ink, px);
  ctx.restore();
}

function circle(ctx: CanvasRenderingContext2D, radiusMm: number): void {
  ctx.beginPath();
  ctx.arc(0, 0, Math.max(0, radiusMm), 0, 2 * Math.PI);
}

function drawGlass(ctx: CanvasRenderingContext2D, glass: Glass, ink: Brush['ink'], px: number): void {
  const radius = glass.diameterMm / 2;
  const shade = ctx.createRadialGradient(0, 0, 0, 0, 0, radius);
  shade.addColorStop(0, ink.glass);
  shade.addColorStop(1, ink.glassDeep);
  circle(ctx, radius);
  ctx.fillStyle = shade;
  ctx.fill();
  ctx.strokeStyle = ink.soft;
  ctx.lineWidth = 1.5 * px;
  ctx.stroke();
  ctx.strokeStyle = ink.line;
  ctx.lineWidth = px;
  circle(ctx, glass.clearApertureMm / 2);
  ctx.stroke();
  if (glass.holeMm > 0) {
    circle(ctx, glass.holeMm / 2);
    ctx.fillStyle = ink.paper;
    ctx.fill();
    ctx.stroke();
  }
  // Where the glass is cut open below.
  ctx.beginPath();
  ctx.moveTo(0, -radius);
  ctx.lineTo(0, radius);
  ctx.stroke();
  ctx.strokeStyle = ink.soft;
  ctx.beginPath();
  ctx.moveTo(-5 * px, 0);
  ctx.lineTo(5 * px, 0);
  ctx.moveTo(0, -5 * px);
  ctx.lineTo(0, 5 * px);
  ctx.stroke();
}

const WAY_POINTS = 96;

/** The way of the lap's centre: plain, and dashed where a nudged stroke leaves it. */
function drawWay(ctx: CanvasRenderingContext2D, stint: StintDraft, ink: Brush['ink'], px: number): void {
  const width = stint.shape === 'ellipse' ? -stint.sense * stint.widthMm : 0;
  const place = (psi: number, nudgeMm: number): [number, number] => [
    (-stint.lengthMm / 2) * Math.cos(psi),
    stint.settingMm + (width / 2) * Math.sin(psi) - nudgeMm * Math.sin(psi / 2) ** 4,
  ];
  const trace = (nudgeMm: number): void => {
    ctx.beginPath();
    for (let i = 0; i <= WAY_POINTS; i++) ctx.lineTo(...place((2 * Math.PI * i) / WAY_POINTS, nudgeMm));
    ctx.stroke();
  };
  ctx.lineCap = 'round';
  ctx.strokeStyle = ink.ink;
  ctx.lineWidth = 2.5 * px;
  trace(0);
  if (stint.nudged) {
    ctx.strokeStyle = ink.warm;
    ctx.lineWidth = 2 * px;
    ctx.setLineDash([6 * px, 5 * px]);
    trace(stint.nudgeByMm);
    ctx.setLineDash([]);
  }
  if (width !== 0) {
    for (const psi of [Math.PI / 2, (3 * Math.PI) / 2]) {
      const [x, y] = place(psi, 0);
      const [toX, toY] = place(psi + 0.02, 0);
      arrow(ctx, x, y, Math.atan2(toY - y, toX - x), 7 * px, ink.ink);
    }
  }
}

function arrow(ctx: CanvasRenderingContext2D, x: number, y: number, angle: number, size: number, colour: string): void {
  ctx.save();
  ctx.translate(x, y);
  ctx.rotate(angle);
  ctx.fillStyle = colour;
  ctx.beginPath();
  ctx.moveTo(size, 0);
  ctx.lineTo(-size * 0.6, size * 0.75);
  ctx.lineTo(-size * 0.6, -size * 0.75);
  ctx.fill();
  ctx.restore();
}

/** Radii visible in the picture, from beyond the axis to beyond the rim. */
function visibleMm(sheet: Sheet): { from: number; to: number } {
  const at = (xPx: number): number => (sheet.side * (xPx - sheet.axisXPx)) / sheet.pxPerMm;
  const [a, b] = [at(0), at(sheet.widthPx)];
  return { from: Math.min(a, b), to: Math.max(a, b) };
}

function depthY(sheet: Sheet, nm: number, rangeNm: number): number {
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

function drawCut(ctx: CanvasRenderingContext2D, scene: SheetScene, sheet: Sheet, brush: Brush): void {
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
  if (scene.curve) drawHollow(ctx, scene, scene.curve, sheet, brush);
  ctx.strokeStyle = ink.soft;
  ctx.lineWidth = 1;
  ctx.setLineDash([2, 3]);
  line(ctx, left, sheet.faceYPx, right, sheet.faceYPx);
  ctx.setLineDash([]);
  if (scene.own) {
    ctx.strokeStyle = ink.ink;
    ctx.lineWidth = 1.25;
    curvePath(ctx, scene.own, scene, sheet);
    ctx.stroke();
  }
  if (scene.pinned) {
    ctx.strokeStyle = ink.warm;
    ctx.lineWidth = 2.5;
    ctx.setLineDash([9, 5]);
    curvePath(ctx, scene.pinned, scene, sheet);
    ctx.stroke();
    ctx.setLineDash([]);
  }
  if (scene.curve) {
    ctx.strokeStyle = ink.trail;
    ctx.lineWidth = 3;
    curvePath(ctx, scene.curve, scene, sheet);
    ctx.stroke();
    namePeaks(ctx, scene, scene.curve, sheet, brush);
  }
}

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

/** Text with a halo of the ground, so that lines behind it do not cut into it. */
function label(
  ctx: CanvasRenderingContext2D,
  words: string,
  x: number,
  y: number,
  colour: string,
  ground: string,
): void {
  ctx.lineJoin = 'round';
  ctx.lineWidth = 4;
  ctx.strokeStyle = ground;
  ctx.strokeText(words, x, y);
  ctx.fillStyle = colour;
  ctx.fillText(words, x, y);
}

function line(ctx: CanvasRenderingContext2D, x0: number, y0: number, x1: number, y1: number): void {
  ctx.beginPath();
  ctx.moveTo(x0, y0);
  ctx.lineTo(x1, y1);
  ctx.stroke();
}

function peakOf(curve: Curve): { radiusMm: number; depthNm: number } {
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
    const depth = curve ? (curve.depthNm[Math.round(Math.abs(radiusMm) / curve.stepMm)] ?? 0) : 0;
    const y = depthY(sheet, depth, scene.rangeNm);
    ctx.strokeStyle = ink.soft;
    ctx.lineWidth = 1;
    ctx.setLineDash([1, 4]);
    line(ctx, xPx, yPx, xPx, y);
    ctx.setLineDash([]);
    if (!curve) continue;
    ctx.beginPath();
    ctx.arc(xPx, y, 4, 0, 2 * Math.PI);
    ctx.fillStyle = ink.ink;
    ctx.fill();
  }
}

const NAMES: Record<Handle, (stint: StintDraft, unit: LengthUnit) => string> = {
  setting: ({ settingMm }, unit) => lengthWords(settingMm, unit),
  'near end': ({ lengthMm }, unit) => `${lengthWords(lengthMm, unit)} long`,
  'far end': ({ lengthMm }, unit) => `${lengthWords(lengthMm, unit)} long`,
  width: ({ widthMm }, unit) => `${lengthWords(widthMm, unit)} wide`,
  nudge: ({ nudgeByMm }, unit) => `${lengthWords(Math.abs(nudgeByMm), unit)} ${nudgeByMm > 0 ? 'in' : 'out'}`,
};

function drawHandles(ctx: CanvasRenderingContext2D, scene: SheetScene, sheet: Sheet, brush: Brush): void {
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
  const peak = curve && peakOf(curve);
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
