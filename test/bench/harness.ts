/**
 * The bench: seeded work, a warm-up, several repeats, min and median, and where it helps a ratio to a reference measured in
 * the same run. A goal missed by more than a factor of two fails the run; a goal missed by less is only marked.
 */
export interface Bench {
  name: string;
  /** Unit of the figure that `measure` returns, e.g. "ms" or "x real time". */
  unit: string;
  goal: number;
  /** Whether a larger figure is better ("x real time") or a smaller one ("ms"). */
  better: 'larger' | 'smaller';
  repeats: number;
  /** One repeat, after whatever set-up the module did; returns the figure. */
  measure(): number | Promise<number>;
  /** What bounds the figure, printed beside it. */
  note?: string;
}

export interface BenchResult {
  bench: Bench;
  best: number;
  median: number;
  verdict: 'reached' | 'missed' | 'failed';
}

/** Milliseconds that a piece of work takes. */
export async function milliseconds(work: () => unknown): Promise<number> {
  const start = performance.now();
  await work();
  return performance.now() - start;
}

export async function runBench(bench: Bench): Promise<BenchResult> {
  await bench.measure(); // warm-up, not counted
  const figures: number[] = [];
  for (let i = 0; i < bench.repeats; i++) figures.push(await bench.measure());
  figures.sort((a, b) => (bench.better === 'smaller' ? a - b : b - a));
  const best = figures[0] ?? Number.NaN;
  const median = figures[figures.length >> 1] ?? Number.NaN;
  const shortfall = bench.better === 'smaller' ? median / bench.goal : bench.goal / median;
  const verdict = shortfall <= 1 ? 'reached' : shortfall <= 2 ? 'missed' : 'failed';
  return { bench, best, median, verdict };
}
