/**
 * The door to HiGHS, an open mixed-integer solver (Huangfu & Hall, Math. Prog. Comp. 10, 119, 2018; recalled), which runs as
 * WebAssembly in Node and in a browser's worker alike.
 */
import highsLoader from 'highs';

export interface LinearModel {
  /** Minimised; coefficient by variable. */
  objective: Record<string, number>;
  rows: { terms: Record<string, number>; least?: number; most?: number }[];
  /** Bounds; a variable not named here is 0 or more. */
  bounds: Record<string, { least?: number; most?: number }>;
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

/**
 * The search is cut off after so many branches, not by the clock, so that the same problem has the same answer on every machine;
 * the clock only guards against a machine that is very slow.
 */
const MOST_NODES = 400;
const WHOLE_GAP = 0.02;

/** Loads the solver once. `locate` tells a browser where the .wasm file lies; Node needs none. */
export async function loadSolver(locate?: (file: string) => string): Promise<LinearSolver> {
  const highs = await highsLoader(locate ? { locateFile: locate } : undefined);
  return (problem, seconds) => {
    const names = variablesOf(problem);
    const model = highs.createModel(modelData(problem, names));
    try {
      model.options.set({
        output_flag: false,
        time_limit: seconds,
        mip_max_nodes: MOST_NODES,
        mip_rel_gap: WHOLE_GAP,
        random_seed: 1,
      });
      model.run();
      const found = model.info.get('primal_solution_status') === highs.constants.solutionStatus.feasible;
      if (!found) return null;
      const { colValue } = model.getSolution();
      const values = Object.fromEntries(names.map((name, j) => [name, colValue[j] ?? 0]));
      const proven = model.getModelStatus() === highs.constants.modelStatus.optimal;
      return { values, objective: model.getObjectiveValue(), proven };
    } finally {
      model.dispose();
    }
  };
}

function variablesOf({ objective, rows, bounds }: LinearModel): string[] {
  const names = new Set([...Object.keys(bounds), ...Object.keys(objective)]);
  for (const { terms } of rows) for (const name of Object.keys(terms)) names.add(name);
  return [...names];
}

/** The model as HiGHS takes it: rows one after the other, each a list of columns and factors. */
function modelData({ objective, rows, bounds, whole, yesOrNo }: LinearModel, names: readonly string[]) {
  const column = new Map(names.map((name, j) => [name, j]));
  const offsets = [0];
  const indices: number[] = [];
  const values: number[] = [];
  for (const { terms } of rows) {
    for (const [name, factor] of Object.entries(terms)) {
      if (factor === 0) continue;
      indices.push(column.get(name)!);
      values.push(factor);
    }
    offsets.push(indices.length);
  }
  const isWhole = new Set([...whole, ...yesOrNo]);
  const isYesOrNo = new Set(yesOrNo);
  return {
    numCols: names.length,
    numRows: rows.length,
    colCost: names.map((name) => objective[name] ?? 0),
    colLower: names.map((name) => bounds[name]?.least ?? 0),
    colUpper: names.map((name) => (isYesOrNo.has(name) ? 1 : (bounds[name]?.most ?? Number.POSITIVE_INFINITY))),
    rowLower: rows.map((row) => row.least ?? Number.NEGATIVE_INFINITY),
    rowUpper: rows.map((row) => row.most ?? Number.POSITIVE_INFINITY),
    matrix: { format: 'csr', numRows: rows.length, numCols: names.length, starts: offsets, indices, values },
    integrality: Int32Array.from(names, (name) => (isWhole.has(name) ? 1 : 0)),
  } as const;
}
