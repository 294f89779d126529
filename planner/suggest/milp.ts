/**
 * The door to HiGHS, an open mixed-integer solver (Huangfu & Hall, Math. Prog. Comp. 10, 119, 2018; recalled), which runs as
 * WebAssembly in Node and in a browser's worker alike. Models are handed over as text in the common LP format.
 */
import highsLoader from 'highs';

export interface LinearModel {
  /** Minimised; coefficient by variable. */
  objective: Record<string, number>;
  rows: { terms: Record<string, number>; least?: number; most?: number }[];
  /** Bounds; a variable not named here is 0 or more. */
  bounds: Record<string, { least?: number; most?: number; free?: boolean }>;
  whole: string[];
  yesOrNo: string[];
}

export interface LinearAnswer {
  values: Record<string, number>;
  objective: number;
  /** False when time ran out with an answer in hand. */
  proven: boolean;
}

export type LinearSolver = (model: LinearModel, seconds: number) => LinearAnswer | null;

/** Loads the solver once. `locate` tells a browser where the .wasm file lies; Node needs none. */
export async function loadSolver(locate?: (file: string) => string): Promise<LinearSolver> {
  const highs = await highsLoader(locate ? { locateFile: locate } : undefined);
  return (model, seconds) => {
    const options = { output_flag: false, time_limit: seconds, mip_rel_gap: 0.01, random_seed: 1 } as const;
    const found = highs.solve(lpText(model), options);
    const hasValues = found.Status === 'Optimal' || found.Status === 'Time limit reached';
    if (!hasValues || !Number.isFinite(found.ObjectiveValue)) return null;
    const values: Record<string, number> = {};
    for (const [name, column] of Object.entries(found.Columns)) {
      const primal = 'Primal' in column ? Number(column.Primal) : Number.NaN;
      if (!Number.isFinite(primal)) return null;
      values[name] = primal;
    }
    return { values, objective: found.ObjectiveValue, proven: found.Status === 'Optimal' };
  };
}

function lpText({ objective, rows, bounds, whole, yesOrNo }: LinearModel): string {
  const lines = ['Minimize', ` cost: ${sum(objective)}`, 'Subject To'];
  rows.forEach(({ terms, least, most }, i) => {
    if (least !== undefined) lines.push(` l${i}: ${sum(terms)} >= ${least}`);
    if (most !== undefined) lines.push(` m${i}: ${sum(terms)} <= ${most}`);
  });
  lines.push('Bounds');
  for (const [name, { least, most, free }] of Object.entries(bounds)) {
    if (free) lines.push(` ${name} free`);
    else if (most === undefined) lines.push(` ${name} >= ${least ?? 0}`);
    else lines.push(` ${least ?? 0} <= ${name} <= ${most}`);
  }
  if (whole.length > 0) lines.push('General', ` ${whole.join(' ')}`);
  if (yesOrNo.length > 0) lines.push('Binary', ` ${yesOrNo.join(' ')}`);
  lines.push('End');
  return lines.join('\n');
}

/** Lines of the LP format may not grow without end; a handful of terms each. */
function sum(terms: Record<string, number>): string {
  const parts = Object.entries(terms)
    .filter(([, factor]) => factor !== 0)
    .map(([name, factor]) => `${factor < 0 ? '-' : '+'} ${Math.abs(factor)} ${name}`);
  if (parts.length === 0) return '0 nothing';
  const lines: string[] = [];
  for (let i = 0; i < parts.length; i += 6) lines.push(parts.slice(i, i + 6).join(' '));
  return lines.join('\n   ');
}
