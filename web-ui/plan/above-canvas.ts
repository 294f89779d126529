/** The stint from above: glass, lap, ghosts of the lap at the stroke's ends, and the way of its centre. */
import type { Glass } from '../../planner/shelf/types';
import { drawLap, lapOutline } from '../run/glass-canvas';
import type { Brush, SheetScene } from './brush';
import type { StintDraft } from './draft';
import type { Sheet } from './sheet-geometry';

export function drawFromAbove(ctx: CanvasRenderingContext2D, scene: SheetScene, sheet: Sheet, brush: Brush): void {
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

/** Returns the length of a CSS pixel in mm. */
function useStandFrame(ctx: CanvasRenderingContext2D, sheet: Sheet, { ratio }: Brush): number {
  const k = sheet.side * sheet.pxPerMm * ratio;
  ctx.setTransform(0, k, k, 0, sheet.axisXPx * ratio, sheet.middleYPx * ratio);
  return 1 / sheet.pxPerMm;
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
