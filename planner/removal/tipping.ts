/** Words for a lap that does not stand: where it begins to tip, and what to do. */
import type { Path } from '../path/types';
import { type ContactSettings, ContactSolver } from './contact';
import { RemovalRefused } from './refusal';
import type { Stroke } from './strokes';
import type { Tipping } from './work-points';

/** Builds the refusal; finds the radius of the lap's centre at which it begins, with the motion it has there. */
export function refuseTipping(
  tipping: Tipping,
  settings: ContactSettings,
  path: Path,
  stroke: Stroke | undefined,
): RemovalRefused {
  const beginsAtMm = tippingBeginsAtMm(tipping, settings);
  const line = path.stints[stroke?.stint ?? 0]?.geared.stint.line ?? 0;
  const where = `The stroke carries the lap's centre to ${tipping.tipsAtMm.toFixed(1)} mm from the axis`;
  const { rimMm, holeMm } = settings.glass;
  const message =
    tipping.tipsAtMm - settings.face.reachMm >= rimMm
      ? `${where}, where it does not touch the glass at all (polished up to ${rimMm.toFixed(1)} mm). Move the setting inward.`
      : beginsAtMm === null
        ? `${where}, where it cannot stand on the glass (polished from ${holeMm.toFixed(1)} to ${rimMm.toFixed(1)} mm). ` +
          'Change the setting, lower the pivot or the friction.'
        : `${where}; it tips where its centre passes ${beginsAtMm.toFixed(1)} mm and would dig its edge into the glass. ` +
          'Shorten the stroke or move its setting away from that edge.';
  return new RemovalRefused([{ field: 'at', message, ...(line > 0 && { line }) }]);
}

/** Bisects between a place where the lap stands and the place where it tips; null if it stands nowhere. */
function tippingBeginsAtMm({ tipsAtMm, motion }: Tipping, settings: ContactSettings): number | null {
  const solver = new ContactSolver(settings);
  const stands = (centreMm: number): boolean => solver.solve(centreMm, motion) !== null;
  const { rimMm, holeMm } = settings.glass;
  let safe = (rimMm + holeMm) / 2;
  if (!stands(safe)) return null;
  let tips = tipsAtMm;
  for (let step = 0; step < 40; step++) {
    const middle = (safe + tips) / 2;
    if (stands(middle)) safe = middle;
    else tips = middle;
  }
  return tips;
}
