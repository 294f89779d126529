/** The surface over the curve that is aimed at, before and as expected after the work. */
import { useRef } from 'preact/hooks';
import { HeightMarks } from './height-marks';
import { betweenPath, curvePath, heightRange, type Section, xOf } from './section-geometry';
import type { BeforeAfter } from './suggested';
import { useWidth } from './width';

const HEIGHT = 150;
const MARGIN = { left: 58, right: 8, top: 8, bottom: 8 };

export function BeforeAfterDrawing({ curve, words }: { curve: BeforeAfter; words: string }) {
  const box = useRef<HTMLDivElement>(null);
  const widthPx = useWidth(box);
  const { radiusMm, beforeNm, afterNm, first, last } = curve;
  const part = (values: Float64Array): Float64Array => values.subarray(first, last + 1);
  const range = heightRange([...part(beforeNm), ...part(afterNm)]);
  const section: Section = {
    widthPx,
    axisXPx: MARGIN.left,
    rimXPx: Math.max(MARGIN.left + 1, widthPx - MARGIN.right),
    rimMm: radiusMm[radiusMm.length - 1]!,
    topYPx: MARGIN.top,
    bottomYPx: HEIGHT - MARGIN.bottom,
    ...range,
  };
  const zero = new Float64Array(radiusMm.length);
  return (
    <div ref={box}>
      {widthPx === 0 ? null : (
        <svg
          class="section"
          width={widthPx}
          height={HEIGHT}
          viewBox={`0 0 ${widthPx} ${HEIGHT}`}
          role="img"
          aria-label={words}
        >
          <HeightMarks section={section} stepNm={range.stepNm} />
          <path class="band" d={betweenPath(section, radiusMm, afterNm, zero, first, last)} />
          <path class="before" d={curvePath(section, radiusMm, beforeNm, first, last)} />
          <path class="surface" d={curvePath(section, radiusMm, afterNm, first, last)} />
          <line class="axis" x1={xOf(section, 0)} x2={xOf(section, 0)} y1={2} y2={HEIGHT - 2} />
        </svg>
      )}
    </div>
  );
}
