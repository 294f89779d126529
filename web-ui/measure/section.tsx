/** The glass cut open from its axis to its rim, its surface blown up, the mask on it, and what must come off hatched. */
import type { Figure } from '../../planner/figure/types';
import type { Glass } from '../../planner/shelf/types';
import { type LengthUnit, lengthWords } from '../words';
import { HeightMarks } from './height-marks';
import { betweenPath, curvePath, heightRange, indicesWithin, type Section, xOf, yOf } from './section-geometry';
import { peakWords } from './sentences';

const HEIGHT = { surface: 140, mask: 30, leaders: 26 };
const TOP = 14;

export interface Opening {
  fromMm: number;
  toMm: number;
}

export function SectionDrawing(props: {
  glass: Glass;
  figure: Figure | null;
  /** Windows of the mask that can be drawn; none where readings did not come through one. */
  openings: readonly (Opening | null)[];
  /** Middles of the columns of fields below, px. */
  columnXPx: readonly number[];
  widthPx: number;
  axisXPx: number;
  rimXPx: number;
  unit: LengthUnit;
  words: string;
}) {
  const { glass, figure, openings, columnXPx, widthPx, unit } = props;
  const range = heightRange(figure ? edgesOf(figure) : []);
  const bottom = TOP + HEIGHT.surface;
  const section: Section = {
    widthPx,
    axisXPx: props.axisXPx,
    rimXPx: props.rimXPx,
    rimMm: glass.diameterMm / 2,
    topYPx: TOP,
    bottomYPx: bottom,
    ...range,
  };
  const height = bottom + HEIGHT.mask + (columnXPx.length > 0 ? HEIGHT.leaders : 4);
  return (
    <svg
      class="section"
      width={widthPx}
      height={height}
      viewBox={`0 0 ${widthPx} ${height}`}
      role="img"
      aria-label={props.words}
    >
      <Pattern />
      <Body section={section} figure={figure} glass={glass} />
      {figure ? <Surface section={section} figure={figure} /> : null}
      <HeightMarks section={section} stepNm={figure ? range.stepNm : null} />
      <Mask section={section} openings={openings} columnXPx={columnXPx} />
      <line class="axis" x1={section.axisXPx} x2={section.axisXPx} y1={2} y2={bottom + HEIGHT.mask} />
      <text class="place" x={section.axisXPx + 4} y={11}>
        axis
      </text>
      <text class="place end" x={section.rimXPx} y={11}>
        rim, {lengthWords(section.rimMm, unit)}
      </text>
      {figure ? <Peak section={section} figure={figure} unit={unit} /> : null}
    </svg>
  );
}

function* edgesOf({ surfaceNm, bandNm }: Figure): Generator<number> {
  for (let i = 0; i < surfaceNm.length; i++) {
    yield surfaceNm[i]! + Math.min(bandNm[i]!, 200);
    yield surfaceNm[i]! - Math.min(bandNm[i]!, 200);
  }
}

/** Hatching for what must come off; colour alone says nothing. */
function Pattern() {
  return (
    <defs>
      <pattern id="takes-off" width="8" height="8" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
        <line class="hatch" x1="0" y1="0" x2="0" y2="8" />
      </pattern>
    </defs>
  );
}

/** The glass itself, under its surface as measured, else under the curve that is wanted. */
function Body({ section, figure, glass }: { section: Section; figure: Figure | null; glass: Glass }) {
  const floor = section.bottomYPx + HEIGHT.mask;
  const { axisXPx, rimXPx } = section;
  const hole = xOf(section, glass.holeMm / 2);
  if (figure === null) {
    const y = yOf(section, 0);
    return <path class="body" d={`M${hole} ${y}H${rimXPx}V${floor}H${hole}Z`} />;
  }
  const { radiusMm, surfaceNm } = figure;
  const last = yOf(section, surfaceNm[surfaceNm.length - 1]!);
  const top = curvePath(section, radiusMm, surfaceNm);
  return <path class="body" d={`${top}L${rimXPx} ${last}V${floor}H${Math.max(axisXPx, hole)}Z`} />;
}

function Surface({ section, figure }: { section: Section; figure: Figure }) {
  const { radiusMm, surfaceNm, bandNm, measuredMm } = figure;
  const [first, last] = indicesWithin(radiusMm, measuredMm.from, measuredMm.to);
  const zero = surfaceNm.map(() => 0);
  const upper = surfaceNm.map((h, i) => h + Math.min(bandNm[i]!, 200));
  const lower = surfaceNm.map((h, i) => h - Math.min(bandNm[i]!, 200));
  return (
    <>
      {figure.reference === 'best fit' ? null : (
        <path
          class="takes-off"
          d={betweenPath(
            section,
            radiusMm,
            surfaceNm.map((h) => Math.max(0, h)),
            zero,
            first,
            last,
          )}
        />
      )}
      <path class="band" d={betweenPath(section, radiusMm, upper, lower, first, last)} />
      <path class="surface guessed" d={curvePath(section, radiusMm, surfaceNm)} />
      <path class="surface" d={curvePath(section, radiusMm, surfaceNm, first, last)} />
    </>
  );
}

/** Bars where the mask is closed, a line at each edge, and a line from each window to its fields. */
function Mask({
  section,
  openings,
  columnXPx,
}: {
  section: Section;
  openings: readonly (Opening | null)[];
  columnXPx: readonly number[];
}) {
  const top = section.bottomYPx;
  const floor = top + HEIGHT.mask;
  const known = openings.filter((each) => each !== null);
  if (known.length === 0) return null;
  const closed: [number, number][] = [];
  let from = 0;
  for (const { fromMm, toMm } of [...known].sort((a, b) => a.fromMm - b.fromMm)) {
    if (fromMm > from + 1e-6) closed.push([from, fromMm]);
    from = Math.max(from, toMm);
  }
  if (from < section.rimMm) closed.push([from, section.rimMm]);
  return (
    <g class="mask">
      <rect class="open" x={section.axisXPx} y={top} width={section.rimXPx - section.axisXPx} height={HEIGHT.mask} />
      {closed.map(([a, b]) => (
        <rect
          key={a}
          class="closed"
          x={xOf(section, a)}
          y={top}
          width={Math.max(1, xOf(section, b) - xOf(section, a))}
          height={HEIGHT.mask}
        />
      ))}
      {openings.map((opening, i) => {
        if (opening === null) return null;
        // An edge beyond the glass is complained about; the drawing ends at the rim.
        const [a, b] = [opening.fromMm, opening.toMm].map((mm) => Math.min(section.rimXPx, xOf(section, mm))) as [
          number,
          number,
        ];
        const column = columnXPx[i];
        return (
          <g key={i}>
            <rect class="window" x={a} y={top} width={Math.max(1, b - a)} height={HEIGHT.mask} />
            {column === undefined ? null : (
              <path
                class="leader"
                d={`M${(a + b) / 2} ${floor}V${floor + 6}L${column} ${floor + HEIGHT.leaders - 4}V${floor + HEIGHT.leaders}`}
              />
            )}
          </g>
        );
      })}
    </g>
  );
}

/** Names the place that stands highest over the curve that is aimed at. */
function Peak({ section, figure, unit }: { section: Section; figure: Figure; unit: LengthUnit }) {
  const { radiusMm, surfaceNm } = figure;
  const best = surfaceNm.reduce((at, h, i) => (Math.abs(h) > Math.abs(surfaceNm[at]!) ? i : at), 0);
  const [x, y] = [xOf(section, radiusMm[best]!), yOf(section, surfaceNm[best]!)];
  const left = x > (section.axisXPx + section.rimXPx) / 2;
  const words = peakWords(figure, surfaceNm[best]!, radiusMm[best]!, unit);
  return (
    <g>
      <circle class="peak" cx={x} cy={y} r={4} />
      <text class={`peak-name ${left ? 'end' : ''}`} x={x + (left ? -10 : 10)} y={Math.max(24, y - 6)}>
        {words}
      </text>
    </g>
  );
}
