/** The program as a ribbon: a block a stint, as long as its turns; a tick at the end of each turn; a pointer where the walk stands. */
import type { Path } from '../../planner/path/types';
import { logDrawn } from './draw-log';
import type { Ink } from './glass-canvas';

/** Ends of turns closer than this are thinned out to every 10th, 100th ... */
const CLOSEST_MARKS_PX = 4;

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
  path.stints.forEach((stint, i) => {
    const x = xOf(stint.fromTurns);
    const width = xOf(stint.toTurns) - x;
    ctx.globalAlpha = stints[i]!.current ? 0.95 : 0.45;
    ctx.fillStyle = stint.geared.stint.shape === 'straight' ? ink.glassDeep : ink.trail;
    ctx.fillRect(x + 0.5, top, Math.max(1, width - 1), height);
    ctx.globalAlpha = 1;
    ctx.lineWidth = stints[i]!.current ? 2 : 1;
    ctx.strokeStyle = stints[i]!.current ? ink.ink : ink.line;
    ctx.strokeRect(x + 0.5, top, Math.max(1, width - 1), height);
  });

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

  const x = xOf(Math.min(path.turns, Math.max(0, turns)));
  ctx.fillStyle = ink.ink;
  ctx.fillRect(x - 1, top - 2, 2, height + 4);
  ctx.beginPath();
  ctx.moveTo(x, top);
  ctx.lineTo(x - 7, 2);
  ctx.lineTo(x + 7, 2);
  ctx.fill();
  logDrawn({ what: 'ribbon', pointerShare: turns / path.turns, stints, turnMarks: marks });
}
