/** Writes a choice of stints as a stroke program, with what it is meant to do in its comments. */
import type { Lap } from '../shelf/types';
import type { ChosenStint } from './types';

export interface ProgramHead {
  title: string;
  /** Lines for the reader, without the comment sign. */
  remarks: readonly string[];
  glassId: string;
  lap: Lap;
  slurryId: string | null;
  turntableRpm: number;
  strokesPerMinute: number;
}

/** Every how many strokes a driven lap is clocked, and by what angle; the gearing picks the exact one. Common practice, no source. */
const CLOCK = { every: 4, byDeg: 40 };

/** The text of a complete program in the planner's own format; stints in the order given, remarks beside them. */
export function programText(head: ProgramHead, stints: readonly (ChosenStint & { remark: string })[]): string {
  const { title, remarks, glassId, lap, slurryId, turntableRpm, strokesPerMinute } = head;
  const lines = remarks.flatMap(wrapped).map((line) => `# ${line}`);
  lines.push('wholeturn: 1', `title: ${JSON.stringify(title)}`, `glass: ${glassId}`, `lap: ${lap.id}`);
  if (slurryId) lines.push(`slurry: ${slurryId}`);
  lines.push(`turntable: ${turntableRpm} rpm`, `rate: ${strokesPerMinute} /min`, 'do:');
  for (const stint of stints)
    lines.push(...wrapped(stint.remark).map((line) => `  # ${line}`), `  - ${stintText(stint, lap)}`);
  return `${lines.join('\n')}\n`;
}

function stintText({ candidate, turns }: ChosenStint, lap: Lap): string {
  const { settingMm, lengthMm, widthMm, sense, nudge } = candidate;
  const parts = [
    `turns: ${turns}`,
    `stroke: ${widthMm > 0 ? 'ellipse' : 'straight'}`,
    `at: ${settingMm} mm`,
    `length: ${lengthMm} mm`,
  ];
  if (widthMm > 0) parts.push(`width: ${widthMm} mm`, `sense: ${sense > 0 ? 'anticlockwise' : 'clockwise'}`);
  if (nudge) parts.push(`nudge: { every: ${nudge.everyStrokes}, by: ${nudge.byMm} mm }`);
  parts.push(lap.rotation === 'free' ? 'clock: free' : `clock: { every: ${CLOCK.every}, by: ${CLOCK.byDeg} deg }`);
  return `{ ${parts.join(', ')} }`;
}

const WIDTH = 100;

function wrapped(text: string): string[] {
  const lines: string[] = [];
  let line = '';
  for (const word of text.split(/\s+/)) {
    if (line !== '' && line.length + 1 + word.length > WIDTH) {
      lines.push(line);
      line = '';
    }
    line = line === '' ? word : `${line} ${word}`;
  }
  lines.push(line);
  return lines;
}
