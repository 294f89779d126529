import type { LengthUnit } from '../words';
import { radiusMarks, type Section, xOf } from './section-geometry';

/** Ticks at round radii under a drawing, with their names and the unit at the last of them. */
export function RadiusMarks({ section, unit }: { section: Section; unit: LengthUnit }) {
  const y = section.bottomYPx;
  const marks = radiusMarks(section.rimMm, unit);
  return (
    <g>
      <line class="mark" x1={section.axisXPx} x2={section.rimXPx} y1={y} y2={y} />
      {marks.map(({ mm, name }, i) => (
        <g key={mm}>
          <line class="tick" x1={xOf(section, mm)} x2={xOf(section, mm)} y1={y} y2={y + 5} />
          <text
            class={`radius ${i === marks.length - 1 ? 'end' : ''}`}
            x={xOf(section, mm) + (i === marks.length - 1 ? 6 : 0)}
            y={y + 18}
          >
            {name}
          </text>
        </g>
      ))}
    </g>
  );
}
