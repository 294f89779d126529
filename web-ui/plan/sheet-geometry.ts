/**
 * The drawing of a stint: the glass from above, and under it, on the same radius axis, the glass cut open. Here is where things lie
 * in it, what a hand can take hold of, and what pulling there means; pure.
 *
 * Stand frame in mm: +x along the tangent, +y outward. The picture is turned so that the radius runs sideways and, for a person at an
 * end of the stroke, lies as they see the glass: who stands at the stroke's end has the rim on the right, at its start on the left.
 */
import type { Standing } from '../../planner/removal/stint-forecast';
import type { Glass } from '../../planner/shelf/types';
import type { StintDraft } from './draft';

export interface SheetSize {
  /** CSS pixels. */
  widthPx: number;
  heightPx: number;
}

export interface Sheet extends SheetSize {
  pxPerMm: number;
  /** 1: radius runs to the right; -1: to the left. */
  side: 1 | -1;
  /** Where the axis of the turntable lies. */
  axisXPx: number;
  /** Height of the radius line in the view from above. */
  middleYPx: number;
  /** The strip with the radius scale, between the two pictures. */
  scaleTopPx: number;
  scaleBottomPx: number;
  /** The glass's face in the cut. */
  faceYPx: number;
  /** Room below it for the depth. */
  deepestYPx: number;
}

export type Handle = 'setting' | 'near end' | 'far end' | 'width' | 'nudge';

export interface Point {
  xPx: number;
  yPx: number;
}

const SCALE_STRIP_PX = 44;
const VIEW_SHARE = 0.58;
/** Of the radius: room beyond the rim and before the axis. */
const BEYOND_RIM = 0.14;
const BEFORE_AXIS = 0.12;
/** Room beyond the ends of the stroke. */
const BEYOND_END_PX = 26;
/** How near a handle must be to be taken, for a finger. */
const REACH_PX = 26;

export function layOut(
  size: SheetSize,
  glass: Glass,
  stint: Pick<StintDraft, 'lengthMm'>,
  standing: Standing,
  keepScale: number | null,
): Sheet {
  const { widthPx, heightPx } = size;
  const radiusMm = glass.diameterMm / 2;
  const scaleTopPx = Math.round((heightPx - SCALE_STRIP_PX) * VIEW_SHARE);
  const fitsAcross = widthPx / (radiusMm * (1 + BEYOND_RIM + BEFORE_AXIS));
  const fitsAlong = (scaleTopPx / 2 - BEYOND_END_PX) / Math.max(1, stint.lengthMm / 2);
  const pxPerMm = keepScale ?? Math.min(fitsAcross, fitsAlong);
  const side = standing === 'start of the stroke' ? -1 : 1;
  const rimToEdge = radiusMm * (1 + BEYOND_RIM) * pxPerMm;
  return {
    ...size,
    pxPerMm,
    side,
    axisXPx: side === 1 ? widthPx - rimToEdge : rimToEdge,
    middleYPx: scaleTopPx / 2,
    scaleTopPx,
    scaleBottomPx: scaleTopPx + SCALE_STRIP_PX,
    faceYPx: scaleTopPx + SCALE_STRIP_PX + 16,
    deepestYPx: heightPx - 34,
  };
}

/** Of a place in the stand frame. */
export function toSheet(sheet: Sheet, xMm: number, yMm: number): Point {
  return {
    xPx: sheet.axisXPx + sheet.side * yMm * sheet.pxPerMm,
    yPx: sheet.middleYPx + sheet.side * xMm * sheet.pxPerMm,
  };
}

export function fromSheet(sheet: Sheet, { xPx, yPx }: Point): { xMm: number; yMm: number } {
  return {
    xMm: (sheet.side * (yPx - sheet.middleYPx)) / sheet.pxPerMm,
    yMm: (sheet.side * (xPx - sheet.axisXPx)) / sheet.pxPerMm,
  };
}

export type HandlePlaces = Partial<Record<Handle, Point>>;

export function handlePlaces(sheet: Sheet, stint: StintDraft): HandlePlaces {
  const { settingMm, lengthMm, widthMm, nudgeByMm } = stint;
  const places: HandlePlaces = {
    setting: {
      xPx: toSheet(sheet, 0, settingMm).xPx,
      yPx: (sheet.scaleTopPx + sheet.scaleBottomPx) / 2,
    },
    'near end': toSheet(sheet, -lengthMm / 2, settingMm),
    'far end': toSheet(sheet, lengthMm / 2, settingMm),
  };
  if (stint.shape === 'ellipse') places.width = toSheet(sheet, 0, settingMm + widthMm / 2);
  if (stint.nudged) places.nudge = toSheet(sheet, lengthMm / 2, settingMm - nudgeByMm);
  return places;
}

/** What lies under the pointer: the nearest handle, else the lap itself, which carries the setting. */
export function handleAt(sheet: Sheet, stint: StintDraft, lapRadiusMm: number, at: Point): Handle | null {
  let best: Handle | null = null;
  let nearest = REACH_PX;
  for (const [handle, place] of Object.entries(handlePlaces(sheet, stint)) as [Handle, Point][]) {
    const away = Math.hypot(place.xPx - at.xPx, place.yPx - at.yPx);
    if (away < nearest) [best, nearest] = [handle, away];
  }
  if (best !== null || at.yPx >= sheet.scaleTopPx) return best;
  const { xMm, yMm } = fromSheet(sheet, at);
  return Math.hypot(xMm, yMm - stint.settingMm) <= lapRadiusMm ? 'setting' : null;
}

/** Distance between the pointer and the handle when it was taken, so that nothing jumps. */
export interface Grip {
  handle: Handle;
  offXPx: number;
  offYPx: number;
}

export function takeHold(sheet: Sheet, stint: StintDraft, handle: Handle, at: Point): Grip {
  const place = handlePlaces(sheet, stint)[handle]!;
  // The setting is also carried by the lap, far from its handle: only sideways counts for it.
  return { handle, offXPx: place.xPx - at.xPx, offYPx: place.yPx - at.yPx };
}

/** Steps to which a pull snaps, mm. */
export const SNAP_MM = { mm: 0.5, in: 0.02 * 25.4 } as const;

/** What pulling a handle to the pointer changes. */
export function pull(
  sheet: Sheet,
  stint: StintDraft,
  glass: Glass,
  grip: Grip,
  at: Point,
  snapMm: number,
): Partial<StintDraft> {
  const { xMm, yMm } = fromSheet(sheet, { xPx: at.xPx + grip.offXPx, yPx: at.yPx + grip.offYPx });
  const { settingMm } = stint;
  const within = (value: number, least: number, most: number): number => {
    const snapped = Math.round(value / snapMm) * snapMm;
    return Number(Math.min(most, Math.max(least, snapped)).toFixed(4));
  };
  switch (grip.handle) {
    case 'setting':
      return { settingMm: within(yMm, 0, glass.diameterMm / 2) };
    case 'near end':
      return { lengthMm: within(-2 * xMm, snapMm, glass.diameterMm) };
    case 'far end':
      return { lengthMm: within(2 * xMm, snapMm, glass.diameterMm) };
    case 'width':
      return { widthMm: within(2 * (yMm - settingMm), snapMm, Math.max(snapMm, 2 * settingMm)) };
    case 'nudge': {
      const byMm = within(settingMm - yMm, -glass.diameterMm / 4, settingMm);
      // Nothing is no nudge.
      return byMm === 0 ? {} : { nudgeByMm: byMm };
    }
  }
}

/** Steps of a scale that leave about so many marks: 1, 2 or 5 times a power of ten. */
export function niceStep(range: number, marks: number): number {
  const rough = range / marks;
  const power = 10 ** Math.floor(Math.log10(rough));
  const factor = rough / power;
  return (factor <= 1 ? 1 : factor <= 2 ? 2 : factor <= 5 ? 5 : 10) * power;
}

/**
 * The depth that the cut has room for, nm: grows at once, shrinks only when the curve has become small in it, so that the picture
 * stands still under a dragging hand.
 */
export function depthRange(peakNm: number, before: number): number {
  const wanted = Math.max(1, peakNm * 1.12);
  if (wanted <= before && wanted > 0.4 * before) return before;
  const step = niceStep(wanted, 4);
  return Math.ceil(wanted / step) * step;
}
