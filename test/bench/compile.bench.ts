/** The step compiler and its checker on an eight-hour program, and the memory both take on top of what was there before. */
import { planProgram } from '../../planner/path/plan';
import type { Program } from '../../planner/program/types';
import { SegmentChecker } from '../../planner/steps/checker';
import { compileSegments } from '../../planner/steps/compile';
import { compileProgram } from '../../planner/steps/summary';
import { demoStand, program } from '../support/programs';
import type { Bench } from './harness';

/** 1,200 turns at 2.5 rpm: nudges, clockings, ellipses and a change of pattern every 40 turns. */
function eightHours(): Program {
  const pair = [
    {
      turns: 40,
      nudge: { everyStrokes: 5, byMm: 10 },
      clocking: { kind: 'steps', everyStrokes: 3, askedDeg: 40, share: 0.3 },
    },
    { turns: 40, shape: 'ellipse', widthMm: 16, settingMm: 94, lengthMm: 70, nudge: { everyStrokes: 3, byMm: 8 } },
  ] as const;
  return program(Array.from({ length: 15 }, () => pair).flat());
}

/** Largest growth of heap and buffers while `work` runs, MB, garbage not yet collected included; it is asked at every batch. */
function memoryOf(work: (look: () => void) => void): number {
  const held = (): number => {
    const { heapUsed, external } = process.memoryUsage();
    return heapUsed + external;
  };
  global.gc?.();
  const before = held();
  let largest = before;
  work(() => {
    largest = Math.max(largest, held());
  });
  return (largest - before) / 1e6;
}

export function benches(): Bench[] {
  const written = eightHours();
  const { path, law } = planProgram(written, demoStand);
  if (law === null) throw new Error('the eight-hour program does not fit the stand');
  const seconds = law.durationSeconds;
  let segments = 0;
  const compileAll = (each: (batch: Uint8Array) => void): void => {
    segments = 0;
    for (const batch of compileSegments(path, law, demoStand)) {
      segments += batch.length / 8;
      each(batch);
    }
  };
  const timesRealTime = (milliseconds: number): number => (seconds * 1000) / milliseconds;
  const hours = `${(seconds / 3600).toFixed(1)} h of path`;
  return [
    {
      name: 'compile an 8 h program',
      unit: 'x real time',
      goal: 5000,
      better: 'larger',
      repeats: 5,
      measure: () => {
        const start = performance.now();
        compileAll(() => {});
        return timesRealTime(performance.now() - start);
      },
      note: `${hours}; two evaluations of law and path a segment`,
    },
    {
      name: 'compile an 8 h program, one segment',
      unit: 'us',
      goal: 1,
      better: 'smaller',
      repeats: 5,
      measure: () => {
        const start = performance.now();
        compileAll(() => {});
        return ((performance.now() - start) * 1000) / segments;
      },
    },
    {
      name: 'check an 8 h program (quick)',
      unit: 'x real time',
      goal: 5000,
      better: 'larger',
      repeats: 5,
      measure: () => {
        const checker = new SegmentChecker(path, law, demoStand, { mode: 'quick' });
        let spent = 0;
        compileAll((batch) => {
          const start = performance.now();
          checker.take(batch);
          spent += performance.now() - start;
        });
        const findings = checker.finish();
        if (findings.length > 0) throw new Error(findings[0]!.words);
        return timesRealTime(spent);
      },
      note: 'place and derivatives once a segment, without the compiler',
    },
    {
      name: 'summary of an 8 h program (plan, compile, check)',
      unit: 'x real time',
      goal: 2500,
      better: 'larger',
      repeats: 3,
      measure: () => {
        const start = performance.now();
        const { complaints } = compileProgram(written, demoStand);
        if (complaints.length > 0) throw new Error(complaints[0]!.message);
        return timesRealTime(performance.now() - start);
      },
    },
    {
      name: 'memory to compile and check an 8 h program',
      unit: 'MB',
      goal: 200,
      better: 'smaller',
      repeats: 3,
      measure: () =>
        memoryOf((look) => {
          const checker = new SegmentChecker(path, law, demoStand, { mode: 'quick' });
          compileAll((batch) => {
            checker.take(batch);
            look();
          });
          checker.finish();
        }),
      note: 'growth of heap and buffers, garbage included',
    },
  ];
}
