import { marks, type Section, yOf } from './section-geometry';

/** Lines at round heights with their names on the axis, the aim among them; without a step the aim alone. */
export function HeightMarks({ section, stepNm }: { section: Section; stepNm: number | null }) {
  return (
    <>
      {(stepNm === null ? [0] : marks(section.lowNm, section.highNm, stepNm)).map((nm) => (
        <g key={nm}>
          <line
            class={nm === 0 ? 'aim' : 'mark'}
            x1={section.axisXPx}
            x2={section.rimXPx}
            y1={yOf(section, nm)}
            y2={yOf(section, nm)}
          />
          {stepNm === null ? null : (
            <text class="nm" x={section.axisXPx - 8} y={yOf(section, nm) + 4}>
              {Number(nm.toPrecision(6))} nm
            </text>
          )}
        </g>
      ))}
    </>
  );
}
