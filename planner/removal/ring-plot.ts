/** Plots of the glass from above: depth by radius and azimuth, and where the stroke turns round. */
import type { RemovalMap } from './map';
import { INK, short, svg, text } from './plot';

const SIZE = 420;
const MIDDLE = SIZE / 2;
const RADIUS = 180;
const LEVELS = 8;
/** Cells drawn: coarser than computed, for a page of bearable size. */
const DRAWN_RINGS = 60;
const DRAWN_AZIMUTHS = 120;

/** The map from above, azimuth 0 (the index mark) to the right, anticlockwise; darker is deeper. Eight levels. */
export function mapPlot(map: RemovalMap, title: string, unit: string): string {
  const rimMm = (map.rings.count - 1) * map.rings.stepMm;
  let [low, high] = [0, 0];
  for (const value of map.depthNm) {
    low = Math.min(low, value);
    high = Math.max(high, value);
  }
  const range = high - low > 0 ? high - low : 1;
  const parts = [`<circle cx="${MIDDLE}" cy="${MIDDLE}" r="${RADIUS}" fill="#ffffff" stroke="${INK.faint}"/>`];
  for (let i = 0; i < DRAWN_RINGS; i++) {
    const level = (k: number): number => {
      const value = meanOf(map, i / DRAWN_RINGS, (i + 1) / DRAWN_RINGS, k);
      return Math.min(LEVELS - 1, Math.floor(((value - low) / range) * LEVELS));
    };
    const zero = Math.min(LEVELS - 1, Math.floor((-low / range) * LEVELS));
    // Neighbours of one level are drawn as one arc.
    for (let k = 0; k < DRAWN_AZIMUTHS; ) {
      const here = level(k);
      let end = k + 1;
      while (end < DRAWN_AZIMUTHS && level(end) === here) end++;
      if (here !== zero) parts.push(arc(i, k, end, here));
      k = end;
    }
  }
  parts.push(
    text(
      MIDDLE,
      SIZE - 4,
      `${title}: ${low.toFixed(1).replace(/^-0\.0$/, '0.0')} (light) to ${high.toFixed(1)} ${unit} (dark), rim at ${rimMm.toFixed(1)} mm`,
      'middle',
    ),
    text(MIDDLE + RADIUS + 6, MIDDLE + 4, '0', 'start'),
    text(MIDDLE, MIDDLE - RADIUS - 6, '90', 'middle'),
  );
  return svg(SIZE, SIZE, title, parts.join('\n'));
}

function meanOf(map: RemovalMap, from: number, to: number, azimuth: number): number {
  const { rings, azimuths, depthNm } = map;
  const first = Math.floor(from * (rings.count - 1));
  const last = Math.max(first, Math.floor(to * (rings.count - 1)) - 1);
  const cells = azimuths / DRAWN_AZIMUTHS;
  let sum = 0;
  let count = 0;
  for (let j = first; j <= last; j++) {
    for (let c = Math.floor(azimuth * cells); c < Math.floor((azimuth + 1) * cells); c++) {
      sum += depthNm[j * azimuths + c]!;
      count++;
    }
  }
  return sum / count;
}

/** One piece of a ring, from azimuth cell `begin` to `end`. */
function arc(ring: number, begin: number, end: number, level: number): string {
  const inner = (ring / DRAWN_RINGS) * RADIUS;
  const outer = ((ring + 1) / DRAWN_RINGS) * RADIUS;
  const shade = Math.round(235 - (level / (LEVELS - 1)) * 190);
  const fill = `rgb(${shade},${Math.round(shade * 0.96)},${Math.min(255, shade + 20)})`;
  if (end - begin >= DRAWN_AZIMUTHS) {
    const middle = short((inner + outer) / 2);
    return `<circle cx="${MIDDLE}" cy="${MIDDLE}" r="${middle}" fill="none" stroke="${fill}" stroke-width="${short(outer - inner)}"/>`;
  }
  const from = (2 * Math.PI * begin) / DRAWN_AZIMUTHS;
  const to = (2 * Math.PI * end) / DRAWN_AZIMUTHS;
  const large = to - from > Math.PI ? 1 : 0;
  const at = (radius: number, angle: number): string =>
    `${short(MIDDLE + radius * Math.cos(angle))} ${short(MIDDLE - radius * Math.sin(angle))}`;
  return (
    `<path fill="${fill}" stroke="${fill}" stroke-width="0.4" d="M${at(inner, from)} L${at(outer, from)} A${short(outer)} ${short(outer)} 0 ${large} 0 ${at(outer, to)} ` +
    `L${at(inner, to)} A${short(inner)} ${short(inner)} 0 ${large} 1 ${at(inner, from)} Z"/>`
  );
}

/** A place on the glass, azimuth in turns. */
export interface RingPlace {
  radiusMm: number;
  azimuth: number;
}

/** Where the stroke turns round on the glass: a dot for each reversal. */
export function reversalPlot(places: readonly RingPlace[], rimMm: number): string {
  const title = `Where the stroke turns round (${places.length} reversals)`;
  const dots = new Set<string>();
  for (const { radiusMm, azimuth } of places) {
    const r = (radiusMm / rimMm) * RADIUS;
    const angle = 2 * Math.PI * azimuth;
    dots.add(
      `<circle cx="${short(MIDDLE + r * Math.cos(angle))}" cy="${short(MIDDLE - r * Math.sin(angle))}" r="1.3"/>`,
    );
  }
  const body = [
    `<circle cx="${MIDDLE}" cy="${MIDDLE}" r="${RADIUS}" fill="none" stroke="${INK.faint}"/>`,
    `<g fill="${INK.line}">${[...dots].join('')}</g>`,
    text(MIDDLE, SIZE - 4, title, 'middle'),
  ];
  return svg(SIZE, SIZE, title, body.join('\n'));
}
