/**
 * What was drawn, for tests and for measuring how old a drawn place is. Off unless the address asks for it (`#...&drawlog`): a
 * picture cannot be asserted, the numbers that were drawn can.
 */
export interface DrawnLap {
  what: 'lap';
  turnsWalked: number;
  /** Centre of the lap in the stand frame, and in pixels of the canvas. */
  xMm: number;
  yMm: number;
  xPx: number;
  yPx: number;
  lapTurns: number;
  /** Angle of the glass's own mark, turns. */
  glassTurns: number;
  trailPoints: number;
  /** The message it goes back to, and when it left the host and reached the canvas (milliseconds since 1970). */
  tickNumber: number | null;
  sentAtMs: number | null;
  drawnAtMs: number;
}

export interface DrawnRibbon {
  what: 'ribbon';
  pointerShare: number;
  /** Share of the ribbon that is marked as walked. */
  walkedShare: number;
  stints: { fromShare: number; toShare: number; current: boolean }[];
  turnMarks: number;
}

/** The drawing of a planned stint. */
export interface DrawnSheet {
  what: 'sheet';
  settingMm: number;
  lengthMm: number;
  /** Handles by their names, in pixels of the canvas. */
  handles: Partial<Record<string, { xPx: number; yPx: number }>>;
  /** Deepest place of the curve that was drawn; null where there was none to draw. */
  peak: { radiusMm: number; depthNm: number; xPx: number; yPx: number } | null;
  /** The same of the curve that was put aside. */
  pinnedPeak: { radiusMm: number; depthNm: number } | null;
}

/** The ring of azimuths at which strokes turn round. */
export interface DrawnRing {
  what: 'ring';
  near: number;
  far: number;
  nudged: number;
}

export type Drawn = DrawnLap | DrawnRibbon | DrawnSheet | DrawnRing;

const KEEP = 1_200;

declare global {
  var wholeturnDrawn: Drawn[] | undefined;
}

export function startDrawLog(): void {
  globalThis.wholeturnDrawn = [];
}

export function logDrawn(entry: Drawn): void {
  const log = globalThis.wholeturnDrawn;
  if (log === undefined) return;
  log.push(entry);
  if (log.length > KEEP) log.splice(0, log.length - KEEP);
}
