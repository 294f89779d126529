/** A program as an optician reads it: what will happen to the glass, stint by stint. */
import type { Program, Stint } from '../../planner/program/types';
import type { Stand } from '../../planner/stand/types';
import type { AxisSteps } from '../../planner/steps/check-walk';
import type { ProgramSummary, StintSummary } from '../../planner/steps/summary';
import { formatDuration, formatLength } from '../../planner/units/format';

const WIDTH = 100;

/** "every 5th stroke" */
function every(n: number): string {
  if (n === 1) return 'every stroke';
  const tail = n % 10;
  const ending =
    n % 100 >= 11 && n % 100 <= 13 ? 'th' : tail === 1 ? 'st' : tail === 2 ? 'nd' : tail === 3 ? 'rd' : 'th';
  return `every ${n}${ending} stroke`;
}

export function plural(count: number, word: string): string {
  return `${count.toLocaleString('en')} ${word}${count === 1 ? '' : 's'}`;
}

/** The pattern of a stint: "straight, 80 mm long at 90 mm". */
export function patternWords(stint: Stint): string {
  const size = formatLength(stint.lengthMm, 'mm');
  const at = formatLength(stint.settingMm, 'mm');
  if (stint.shape === 'straight') return `straight, ${size} long at ${at}`;
  const sense = stint.sense > 0 ? 'anticlockwise' : 'clockwise';
  return `elliptical, ${size} by ${formatLength(stint.widthMm, 'mm')} at ${at}, ${sense}`;
}

function extrasWords(stint: Stint, counted: StintSummary): string[] {
  const words: string[] = [];
  if (stint.nudge !== null) {
    const way = stint.nudge.byMm >= 0 ? 'inward' : 'outward';
    words.push(`${every(stint.nudge.everyStrokes)} nudged ${formatLength(Math.abs(stint.nudge.byMm), 'mm')} ${way}`);
  }
  switch (stint.clocking.kind) {
    case 'steps':
      if (counted.clockings > 0)
        words.push(
          `lap clocked ${degrees(counted.clockingDeg)} (asked: ${degrees(stint.clocking.askedDeg)}) on ` +
            every(stint.clocking.everyStrokes),
        );
      break;
    case 'steady':
      words.push(`lap turning steadily, ${degrees(counted.clockingDeg)} each turn of the turntable`);
      break;
    case 'byHand':
      words.push(`lap turned ${stint.clocking.byDeg} deg by hand every ${plural(stint.clocking.everyTurns, 'turn')}`);
      break;
    case 'free':
      words.push('lap left to turn freely');
      break;
    case 'none':
      words.push('lap not clocked');
  }
  return words;
}

/** Anticlockwise is positive, as everywhere on the stand. */
function degrees(angleDeg: number): string {
  return `${Number(Math.abs(angleDeg).toFixed(1))} deg ${angleDeg < 0 ? 'clockwise' : 'anticlockwise'}`;
}

/** One stint in words, without its number. */
export function stintWords(stint: Stint, counted: StintSummary, turntableRpm: number): string {
  const perMinute = (counted.strokesPerTurn * turntableRpm).toFixed(1);
  const strokes = `${plural(counted.strokes, 'stroke')} (${counted.strokesPerTurn.toFixed(2)} a turn, ${perMinute} a minute)`;
  const blend = counted.blendStrokes > 0 ? [`blended in over ${plural(counted.blendStrokes, 'stroke')}`] : [];
  return [
    `${plural(counted.turns, 'turn')}, ${strokes}, ${patternWords(stint)}`,
    ...extrasWords(stint, counted),
    ...blend,
  ].join('; ');
}

interface Line {
  words: string;
  evenness: string;
  warnings: readonly string[];
}

/** Stints that come again in the same order are told once: [lines, times]. */
export function folded<T>(items: readonly T[], key: (item: T) => string): { items: T[]; times: number }[] {
  const keys = items.map(key);
  const blocks: { items: T[]; times: number }[] = [];
  for (let at = 0; at < items.length; ) {
    let best = { length: 1, times: 1 };
    for (let length = 1; length <= 8 && at + 2 * length <= items.length; length++) {
      let times = 1;
      while (sameBlock(keys, at, at + times * length, length)) times++;
      if (times > 1 && times * length > best.times * best.length) best = { length, times };
    }
    blocks.push({ items: items.slice(at, at + best.length), times: best.times });
    at += best.length * best.times;
  }
  return blocks;
}

function sameBlock(keys: readonly string[], first: number, second: number, length: number): boolean {
  if (second + length > keys.length) return false;
  for (let i = 0; i < length; i++) if (keys[first + i] !== keys[second + i]) return false;
  return true;
}

/** Breaks words into lines that hang under the first. */
export function hanging(first: string, words: string): string {
  const indent = ' '.repeat(first.length);
  const lines: string[] = [];
  let line = first;
  for (const word of words.split(' ')) {
    if (line.length + word.length + 1 > WIDTH && line.trim() !== '' && line.length > first.length) {
      lines.push(line.trimEnd());
      line = indent;
    }
    line += `${word} `;
  }
  lines.push(line.trimEnd());
  return lines.join('\n');
}

export function stintList(program: Program, summary: ProgramSummary): string {
  const lines = program.stints.map((stint, i): Line => {
    const counted = summary.stints[i]!;
    return {
      words: stintWords(stint, counted, program.turntableRpm),
      evenness: counted.evenness.toFixed(2),
      warnings: counted.warnings,
    };
  });
  const out: string[] = [];
  const warned = new Set<string>();
  let number = 1;
  for (const { items, times } of folded(lines, (line) => line.words + line.evenness)) {
    const last = number + items.length * times - 1;
    if (times > 1) out.push(`  ${times} times over (stints ${number} to ${last}):`);
    for (const item of items) {
      const label = times > 1 ? '      - ' : `  ${String(number).padStart(3)}. `;
      out.push(hanging(label, `${item.words}. Evenness ${item.evenness}.`));
      for (const warning of item.warnings) {
        // The same stint can come again in another order; what was said of it need not be said twice.
        if (!warned.has(item.words + warning)) out.push(hanging(`${' '.repeat(label.length)}Beware: `, warning));
        warned.add(item.words + warning);
      }
      if (times === 1) number++;
    }
    if (times > 1) number = last + 1;
  }
  return out.join('\n');
}

export function stepsWords(steps: AxisSteps): string {
  const one = (count: number): string => count.toLocaleString('en');
  return `turntable ${one(steps.turntable)}, stroke ${one(steps.stroke)}, radial ${one(steps.radial)}, lap ${one(steps.lapTurn)}`;
}

/** Where the walk stands still on its way: what a person has to be there for comes first. */
function restLines({ rests }: ProgramSummary): string[] {
  const byHand = rests.filter(({ reason }) => reason === 'hand clocking').map(({ turns }) => turns);
  const others = rests.filter(({ reason }) => reason !== 'hand clocking').map(({ turns }) => turns);
  const turns = (list: number[]): string => `${list.length === 1 ? 'turn' : 'turns'} ${list.join(', ')}`;
  return [
    ...(byHand.length > 0
      ? [hanging('Needs your hands: ', `at ${turns(byHand)} it stands, lap up, until you have turned the lap.`)]
      : []),
    ...(others.length > 0
      ? [hanging('Stands for a moment: ', `at ${turns(others)}, where two patterns differ too much to be blended.`)]
      : []),
  ];
}

/** Title, glass, lap, totals and stints. */
export function programPage(program: Program, stand: Stand, summary: ProgramSummary): string {
  const slurry = program.slurry === null ? '' : `, ${program.slurry.title}`;
  const nudges = summary.stints.reduce((sum, stint) => sum + stint.nudges, 0);
  const clockings = summary.stints.reduce((sum, stint) => sum + stint.clockings, 0);
  return [
    program.title,
    hanging(
      '  ',
      `${program.glass.title}; ${program.lap.title}${slurry}; ${stand.name}${stand.virtual ? ' (virtual)' : ''}`,
    ),
    '',
    hanging(
      'What will happen: ',
      `${plural(summary.turns, 'whole turn')} in ${formatDuration(summary.durationSeconds)}, ${plural(summary.strokes, 'stroke')}, ` +
        `${plural(nudges, 'nudge')}, ${plural(clockings, 'clocking')}.`,
    ),
    stintList(program, summary),
    ...restLines(summary),
    '',
    hanging('Where the axes end:    ', `${stepsWords(summary.endSteps)} steps from where they begin.`),
    hanging(
      'What the axes travel:  ',
      `${stepsWords(summary.travelSteps)} steps, in ${plural(summary.segments, 'segment')}.`,
    ),
    '',
  ].join('\n');
}
