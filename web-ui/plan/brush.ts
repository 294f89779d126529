/** What the drawings of this page share: what is drawn, with what, and the smallest strokes. */
import type { Standing } from '../../planner/removal/stint-forecast';
import type { Glass, Lap } from '../../planner/shelf/types';
import type { Ink } from '../run/glass-canvas';
import type { LengthUnit } from '../words';
import type { StintDraft } from './draft';
import type { Handle } from './sheet-geometry';

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
  /** The stint cannot be worked as it stands: its curve is no forecast of anything. */
  unworkable: boolean;
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

export function usePixels(ctx: CanvasRenderingContext2D, { ratio }: Brush): void {
  ctx.setTransform(ratio, 0, 0, ratio, 0, 0);
}

/** Text with a halo of the ground, so that lines behind it do not cut into it. */
export function label(
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

export function line(ctx: CanvasRenderingContext2D, x0: number, y0: number, x1: number, y1: number): void {
  ctx.beginPath();
  ctx.moveTo(x0, y0);
  ctx.lineTo(x1, y1);
  ctx.stroke();
}
