/**
 * The glass and the lap from above, seen from where the person stands: the working side (+y) is at the bottom of the picture, so +x
 * points left; angles stay anticlockwise. Two layers: what does not change is drawn once a size, the rest once a frame.
 */
import type { Place } from '../../planner/path/types';
import type { Glass, Lap } from '../../planner/shelf/types';
import type { Trail } from './trail';

/** Colours of the look in force, read from the style sheet's tokens. */
export interface Ink {
  ink: string;
  soft: string;
  line: string;
  glass: string;
  glassDeep: string;
  lap: string;
  trail: string;
  warm: string;
}

export interface Viewport {
  /** CSS pixels. */
  sizePx: number;
  /** Device pixels per CSS pixel. */
  ratio: number;
}

export interface Scene {
  glass: Glass;
  lap: Lap;
  place: Place;
  /** Setting radius of the stint being walked, mm. */
  settingMm: number;
  trail: Trail;
  lapIsDown: boolean;
  showTrail: boolean;
}

/** Room around the glass for the lap's overhang and the words. */
const MARGIN = 1.22;

export function pixelsPerMm(glass: Glass, viewport: Viewport): number {
  return viewport.sizePx / (glass.diameterMm * MARGIN);
}

/** Stand frame (mm) to CSS pixels of the square canvas. */
export function toPixels(xMm: number, yMm: number, glass: Glass, viewport: Viewport): { xPx: number; yPx: number } {
  const scale = pixelsPerMm(glass, viewport);
  return { xPx: viewport.sizePx / 2 - xMm * scale, yPx: viewport.sizePx / 2 + yMm * scale };
}

function useStandFrame(ctx: CanvasRenderingContext2D, glass: Glass, viewport: Viewport): number {
  const scale = pixelsPerMm(glass, viewport);
  const middle = (viewport.sizePx / 2) * viewport.ratio;
  ctx.setTransform(-scale * viewport.ratio, 0, 0, scale * viewport.ratio, middle, middle);
  return 1 / scale;
}

function ring(ctx: CanvasRenderingContext2D, radiusMm: number): void {
  ctx.beginPath();
  ctx.arc(0, 0, radiusMm, 0, 2 * Math.PI);
}

/** Glass, bevel, clear aperture, scale rings, and which way the turntable turns. */
export function drawStill(ctx: CanvasRenderingContext2D, glass: Glass, ink: Ink, viewport: Viewport): void {
  ctx.setTransform(1, 0, 0, 1, 0, 0);
  ctx.clearRect(0, 0, ctx.canvas.width, ctx.canvas.height);
  const px = useStandFrame(ctx, glass, viewport);
  const radius = glass.diameterMm / 2;
  const shade = ctx.createRadialGradient(0, 0, 0, 0, 0, radius);
  shade.addColorStop(0, ink.glass);
  shade.addColorStop(1, ink.glassDeep);
  ring(ctx, radius);
  ctx.fillStyle = shade;
  ctx.fill();
  ctx.lineWidth = 1.5 * px;
  ctx.strokeStyle = ink.soft;
  ctx.stroke();
  ctx.lineWidth = px;
  ctx.strokeStyle = ink.line;
  ring(ctx, glass.clearApertureMm / 2);
  ctx.stroke();
  ctx.setLineDash([2 * px, 5 * px]);
  for (const share of [0.25, 0.5, 0.75]) {
    ring(ctx, radius * share);
    ctx.stroke();
  }
  ctx.setLineDash([]);
  if (glass.holeMm > 0) {
    ring(ctx, glass.holeMm / 2);
    ctx.save();
    ctx.globalCompositeOperation = 'destination-out';
    ctx.fill();
    ctx.restore();
    ctx.stroke();
  }
  drawTurningSense(ctx, radius + 9 * px, ink, px);
}

/** A short arrow outside the rim, anticlockwise, at the side away from the person. */
function drawTurningSense(ctx: CanvasRenderingContext2D, radiusMm: number, ink: Ink, px: number): void {
  const from = -Math.PI / 2 - 0.22;
  const to = -Math.PI / 2 + 0.22;
  ctx.strokeStyle = ink.soft;
  ctx.fillStyle = ink.soft;
  ctx.lineWidth = 2 * px;
  ctx.beginPath();
  ctx.arc(0, 0, radiusMm, from, to);
  ctx.stroke();
  const x = radiusMm * Math.cos(to);
  const y = radiusMm * Math.sin(to);
  const size = 6 * px;
  ctx.save();
  ctx.translate(x, y);
  ctx.rotate(to + Math.PI / 2);
  ctx.beginPath();
  ctx.moveTo(1.6 * size, 0);
  ctx.lineTo(0, size);
  ctx.lineTo(0, -size);
  ctx.fill();
  ctx.restore();
}

/** Everything that moves. */
export function drawMoving(ctx: CanvasRenderingContext2D, scene: Scene, ink: Ink, viewport: Viewport): void {
  ctx.setTransform(1, 0, 0, 1, 0, 0);
  ctx.clearRect(0, 0, ctx.canvas.width, ctx.canvas.height);
  const { glass, lap, place } = scene;
  const px = useStandFrame(ctx, glass, viewport);

  ctx.save();
  ctx.rotate(2 * Math.PI * place.turntableTurns);
  drawGlassMark(ctx, glass.diameterMm / 2, ink, px);
  if (scene.showTrail) drawTrail(ctx, scene.trail, ink, px);
  ctx.restore();

  ctx.strokeStyle = ink.soft;
  ctx.lineWidth = px;
  ctx.setLineDash([4 * px, 4 * px]);
  ring(ctx, scene.settingMm);
  ctx.stroke();
  ctx.setLineDash([]);

  ctx.save();
  ctx.translate(place.xMm, place.yMm);
  ctx.rotate(2 * Math.PI * place.lapTurns);
  drawLap(ctx, lap, scene.lapIsDown, ink, px);
  ctx.restore();
}

/** The glass's own mark at the rim: the index. */
function drawGlassMark(ctx: CanvasRenderingContext2D, radiusMm: number, ink: Ink, px: number): void {
  ctx.fillStyle = ink.warm;
  ctx.beginPath();
  ctx.moveTo(0, radiusMm - 1.5 * px);
  ctx.lineTo(6 * px, radiusMm - 13 * px);
  ctx.lineTo(-6 * px, radiusMm - 13 * px);
  ctx.fill();
}

function drawTrail(ctx: CanvasRenderingContext2D, trail: Trail, ink: Ink, px: number): void {
  ctx.strokeStyle = ink.trail;
  ctx.lineWidth = 1.2 * px;
  ctx.lineJoin = 'round';
  const size = trail.points.length / 2;
  // Three bands of age instead of a gradient: a stroke call each.
  const bands = 3;
  for (let band = 0; band < bands; band++) {
    const from = Math.floor((trail.count * band) / bands);
    const to = Math.floor((trail.count * (band + 1)) / bands);
    ctx.globalAlpha = [0.14, 0.3, 0.75][band]!;
    ctx.beginPath();
    for (let i = Math.max(0, from - 1); i < to; i++) {
      const at = 2 * ((trail.start + i) % size);
      if (i <= from) ctx.moveTo(trail.points[at]!, trail.points[at + 1]!);
      else ctx.lineTo(trail.points[at]!, trail.points[at + 1]!);
    }
    ctx.stroke();
  }
  ctx.globalAlpha = 1;
}

/** Outline of the contact face in the lap's own frame, its first point on +x. */
export function lapOutline(ctx: CanvasRenderingContext2D, lap: Lap): void {
  const radius = lap.outline.diameterMm / 2;
  ctx.beginPath();
  if (lap.outline.shape === 'round') {
    ctx.arc(0, 0, radius, 0, 2 * Math.PI);
    return;
  }
  const { points, depthMm } = lap.outline;
  for (let i = 0; i < 2 * points; i++) {
    const r = i % 2 === 0 ? radius : radius - depthMm;
    const angle = (Math.PI * i) / points;
    ctx.lineTo(r * Math.cos(angle), r * Math.sin(angle));
  }
  ctx.closePath();
}

/** In the lap's own frame; `px` is the length of a CSS pixel in mm. */
export function drawLap(ctx: CanvasRenderingContext2D, lap: Lap, isDown: boolean, ink: Ink, px: number): void {
  const radius = lap.outline.diameterMm / 2;
  lapOutline(ctx, lap);
  ctx.fillStyle = ink.lap;
  ctx.globalAlpha = isDown ? 0.55 : 0.15;
  ctx.fill();
  ctx.globalAlpha = isDown ? 1 : 0.7;
  ctx.strokeStyle = ink.lap;
  ctx.lineWidth = 2 * px;
  if (!isDown) ctx.setLineDash([6 * px, 4 * px]);
  ctx.stroke();
  ctx.setLineDash([]);
  if (lap.facets) {
    ctx.save();
    lapOutline(ctx, lap);
    ctx.clip();
    ctx.globalAlpha = isDown ? 0.6 : 0.25;
    ctx.strokeStyle = ink.glass;
    ctx.lineWidth = Math.max(px, lap.facets.channelMm);
    const { pitchMm, offsetXMm, offsetYMm } = lap.facets;
    const lines = Math.ceil(radius / pitchMm) + 1;
    ctx.beginPath();
    for (let i = -lines; i <= lines; i++) {
      ctx.moveTo(i * pitchMm + offsetXMm, -radius);
      ctx.lineTo(i * pitchMm + offsetXMm, radius);
      ctx.moveTo(-radius, i * pitchMm + offsetYMm);
      ctx.lineTo(radius, i * pitchMm + offsetYMm);
    }
    ctx.stroke();
    ctx.restore();
  }
  // A spoke shows the lap's orientation, so that a clocking is seen to happen.
  ctx.globalAlpha = 1;
  ctx.strokeStyle = ink.ink;
  ctx.lineWidth = 2 * px;
  ctx.beginPath();
  ctx.moveTo(0, 0);
  ctx.lineTo(radius * 0.82, 0);
  ctx.stroke();
  ctx.fillStyle = ink.ink;
  ctx.beginPath();
  ctx.arc(0, 0, 3 * px, 0, 2 * Math.PI);
  ctx.fill();
}
