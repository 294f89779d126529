/** The forecast as one HTML page, to be kept beside the program: sentences first, then plots, then the figures. */
import type { Plan } from '../path/plan';
import type { Program } from '../program/types';
import { addMap, mapOf, type RemovalMap, removalOrders } from './map';
import { lapPattern } from './pattern';
import { axes, escaped, INK, line, plotArea, svg, upright, xAt } from './plot';
import { AZIMUTHS, type PredictOptions, predictionOf, removalOf } from './predict';
import type { Removal } from './removal';
import { mapPlot, type RingPlace, reversalPlot } from './ring-plot';
import type { Prediction, RimReport } from './types';

export interface ForecastReport {
  prediction: Prediction;
  html: string;
}

/** @throws RemovalRefused like `predict` */
export function forecastReport(program: Program, plan: Pick<Plan, 'path'>, options: PredictOptions): ForecastReport {
  const removal = removalOf(program, plan, options);
  const pattern = lapPattern(removal, AZIMUTHS);
  const prediction = predictionOf(removal, pattern, options);
  const map = mapOf(removalOrders(removal, AZIMUTHS, AZIMUTHS / 2));
  if (pattern) addMap(map, pattern);
  return { prediction, html: page(program, removal, prediction, map, pattern) };
}

function page(
  program: Program,
  removal: Removal,
  prediction: Prediction,
  map: RemovalMap,
  pattern: RemovalMap | null,
): string {
  const rimMm = (removal.rings.count - 1) * removal.rings.stepMm;
  const whole = prediction.turns === removal.task.path.turns;
  const stop = whole
    ? `all ${prediction.turns} turns`
    : `${prediction.turns.toFixed(2)} of ${removal.task.path.turns} turns`;
  return [
    '<!doctype html>',
    `<html lang="en"><head><meta charset="utf-8"><title>Forecast: ${escaped(program.title)}</title>`,
    '<style>body{font:15px/1.5 sans-serif;max-width:960px;margin:2em auto;padding:0 1em;color:#1f2430}',
    'table{border-collapse:collapse}td,th{padding:.2em .7em;text-align:right;border-bottom:1px solid #ccd}',
    '.plots{display:flex;flex-wrap:wrap;gap:1em}.beware{border-left:4px solid #a0522d;padding-left:.8em}</style></head><body>',
    `<h1>${escaped(program.title)}</h1>`,
    `<p>Forecast of ${escaped(program.file)} after ${stop}: ${escaped(program.lap.title)} on ${escaped(program.glass.title)}, ` +
      `removal coefficient ${removal.task.kPerPa.toExponential(2)} /Pa.</p>`,
    ...sentences(prediction).map((sentence) => `<p>${escaped(sentence)}</p>`),
    ...prediction.warnings.map((warning) => `<p class="beware">Beware: ${escaped(warning)}</p>`),
    '<h2>Depth by radius</h2>',
    profilePlot(prediction),
    '<h2>From above</h2><div class="plots">',
    mapPlot(map, 'Depth taken off', 'nm'),
    reversalPlot(reversals(removal), rimMm),
    pattern ? mapPlot(pattern, 'Pattern of the lap', 'nm') : '',
    '</div>',
    '<h2>Stint by stint</h2>',
    stintTable(prediction),
    '<h2>What stays behind</h2><ul>',
    ...prediction.remainders.map(
      ({ words, limit, unit, name }) => `<li>${escaped(words)} (${name}: warns above ${limit} ${unit})</li>`,
    ),
    '</ul></body></html>',
    '',
  ].join('\n');
}

/** What the forecast says, in words. */
export function sentences(prediction: Prediction): string[] {
  const { peakNm, radiusMm, removalNm, bandShare, zone, pressure } = prediction;
  const peakMm = radiusMm[removalNm.indexOf(peakNm)] ?? 0;
  const percent = (share: number): string => `${(100 * share).toFixed(1)} %`;
  return [
    `It takes off ${peakNm.toFixed(1)} nm at most, at ${peakMm.toFixed(1)} mm from the middle.`,
    `Of the volume ${percent(bandShare.inside)} comes off between ${zone.fromMm.toFixed(1)} and ${zone.toMm.toFixed(1)} mm, ` +
      `${percent(bandShare.inward)} inward and ${percent(bandShare.outward)} outward of that.`,
    `The lap presses with ${pressure.loadN.toFixed(1)} N on ${(pressure.contactAreaMm2 / 100).toFixed(1)} cm2: ` +
      `${(pressure.pressurePa / 1000).toFixed(2)} kPa (${pressure.pressurePsi.toFixed(2)} psi) where it lies wholly on the glass.`,
  ];
}

export function profilePlot(prediction: Prediction): string {
  const { radiusMm, removalNm, peakNm, zone, stints } = prediction;
  const area = plotArea({ xFrom: 0, xTo: radiusMm[radiusMm.length - 1]!, yFrom: 0, yTo: Math.max(peakNm * 1.1, 1e-6) });
  const left = xAt(area, zone.fromMm);
  const right = xAt(area, Math.min(area.xTo, zone.toMm));
  const bars = new Map<string, string>();
  for (const { innerRim, middle, outerRim } of stints.slice(0, 3)) {
    for (const [place, name] of [
      [innerRim, 'inner rim'],
      [middle, 'middle'],
      [outerRim, 'outer rim'],
    ] as const) {
      if (place.radiusMm < 0 || place.radiusMm > area.xTo) continue;
      const key = place.radiusMm.toFixed(0);
      if (!bars.has(key)) bars.set(key, upright(area, place.radiusMm, bars.size < 3 ? name : '', INK.rim));
    }
  }
  const body = [
    `<rect x="${left.toFixed(1)}" y="${area.top}" width="${(right - left).toFixed(1)}" height="${area.height - area.top - area.bottom}" fill="${INK.zone}"/>`,
    axes(area, 'radius, mm (shaded: the wanted zone; dashed: rims and middle of the lap)', 'depth, nm'),
    ...bars.values(),
    line(area, radiusMm, removalNm, INK.line),
  ];
  return svg(area.width, area.height, 'Depth taken off by radius', body.join('\n'));
}

function stintTable(prediction: Prediction): string {
  const rim = ({ depthNm, width1090Mm, seen }: RimReport): string =>
    `<td>${depthNm.toFixed(1)} nm, ${width1090Mm === null ? 'cut off' : `${width1090Mm.toFixed(1)} mm`} (${seen})</td>`;
  const rows = prediction.stints.map(
    (stint) =>
      `<tr><td>${stint.line}</td><td>${stint.turns.toFixed(2)}</td>${rim(stint.innerRim)}${rim(stint.middle)}${rim(stint.outerRim)}` +
      `<td>${stint.contactSpanMm.toFixed(1)}</td><td>${stint.width90Mm.toFixed(1)}</td><td>${stint.centroidMm.toFixed(1)}</td>` +
      `<td>${stint.senseShiftMm === 0 ? '' : stint.senseShiftMm.toFixed(2)}</td></tr>`,
  );
  return (
    '<table><tr><th>line</th><th>turns</th><th>inner rim: depth, 10-90 %</th><th>middle: depth, above 90 %</th>' +
    '<th>outer rim: depth, 10-90 %</th><th>contact span, mm</th><th>holds 90 %, mm</th><th>centroid, mm</th><th>shift by the sense, mm</th></tr>' +
    `${[...new Set(rows)].join('')}</table>`
  );
}

/** Every place on the glass where the stroke turns round. */
export function reversals(removal: Removal): RingPlace[] {
  const place = new Float64Array(4);
  return removal.strokes.flatMap(({ from, to }) =>
    [0, 0.5].map((share) => {
      removal.task.path.sample(from + share * (to - from), place);
      const azimuth = Math.atan2(place[2]!, place[1]!) / (2 * Math.PI) - place[0]!;
      return { radiusMm: Math.hypot(place[1]!, place[2]!), azimuth: azimuth - Math.floor(azimuth) };
    }),
  );
}
