/** The program as a ribbon: a block a stint, as long as its turns; a tick at the end of each turn; a pointer where the walk stands. */
import type { Path } from '../../planner/path/types';
import { logDrawn } from './draw-log';
import type { Ink } from './glass-canvas';

/** Ends of turns closer than this are thinned out to every 10th, 100th ... */
const CLOSEST_MARKS_PX = 4;
const HATCH_PX = 7;

export interface RibbonSize {
  widthPx: number;
  heightPx: number;
  ratio: number;
}

export function drawRibbon(ctx: CanvasRenderingContext2D, path: Path, turns: number, ink: Ink, size: RibbonSize): void {
  const { widthPx, heightPx, ratio } = size;
  ctx.setTransform(ratio, 0, 0, ratio, 0, 0);
  ctx.clearRect(0, 0, widthPx, heightPx);
  const inset = 8;
  const top = 14;
  const height = heightPx - top - 4;
  const xOf = (u: number): number => inset + ((widthPx - 2 * inset) * u) / path.turns;

  const stints = path.stints.map((stint) => ({
    fromShare: stint.fromTurns / path.turns,
    toShare: stint.toTurns / path.turns,
    current: turns >= stint.fromTurns && (turns < stint.toTurns || stint.toTurns === path.turns),
  }));
  const walkedTurns = Math.min(path.turns, Math.max(0, turns));
  path.stints.forEach((stint, i) => {
    const x = xOf(stint.fromTurns);
    const width = xOf(stint.toTurns) - x;
    ctx.globalAlpha = 0.4;
    ctx.fillStyle = stint.geared.stint.shape === 'straight' ? ink.glassDeep : ink.trail;
    ctx.fillRect(x + 0.5, top, Math.max(1, width - 1), height);
    ctx.globalAlpha = 1;
    ctx.lineWidth = stints[i]!.current ? 2 : 1;
    ctx.strokeStyle = stints[i]!.current ? ink.ink : ink.line;
    ctx.strokeRect(x + 0.5, top, Math.max(1, width - 1), height);
  });
  const walkedPx = xOf(walkedTurns) - inset;
  hatch(ctx, { x: inset, y: top, width: walkedPx, height }, ink.ink);

  let every = 1;
  while (((widthPx - 2 * inset) * every) / path.turns < CLOSEST_MARKS_PX) every *= 10;
  ctx.strokeStyle = ink.soft;
  ctx.lineWidth = 1;
  ctx.beginPath();
  let marks = 0;
  for (let turn = every; turn < path.turns; turn += every) {
    ctx.moveTo(xOf(turn), top + height - 7);
    ctx.lineTo(xOf(turn), top + height);
    marks++;
  }
  ctx.stroke();
  ctx.fillStyle = ink.warm;
  for (const rest of path.rests) {
    ctx.beginPath();
    ctx.arc(xOf(rest.turns), top + 6, 4, 0, 2 * Math.PI);
    ctx.fill();
  }

  const x = xOf(walkedTurns);
  ctx.fillStyle = ink.ink;
  ctx.fillRect(x - 1, top - 2, 2, height + 4);
  ctx.beginPath();
  ctx.moveTo(x, top);
  ctx.lineTo(x - 7, 2);
  ctx.lineTo(x + 7, 2);
  ctx.fill();
  logDrawn({
    what: 'ribbon',
    pointerShare: turns / path.turns,
    walkedShare: walkedPx / (widthPx - 2 * inset),
    stints,
    turnMarks: marks,
  });
}

/** Strokes across what is walked: told from what is to come in any look, and without colour. */
function hatch(
  ctx: CanvasRenderingContext2D,
  box: { x: number; y: number; width: number; height: number },
  colour: string,
): void {
  ctx.save();
  ctx.beginPath();
  ctx.rect(box.x, box.y, box.width, box.height);
  ctx.clip();
  ctx.strokeStyle = colour;
  ctx.lineWidth = 1.5;
  ctx.beginPath();
  for (let x = box.x - box.height; x < box.x + box.width; x += HATCH_PX) {
    ctx.moveTo(x, box.y + box.height);
    ctx.lineTo(x + box.height, box.y);
  }
  ctx.stroke();
  ctx.restore();
}
