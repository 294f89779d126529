/** `npm run whole-job [mirrors] [first seed] [perfect]`: plays whole jobs on virtual glass and prints a row a cycle. Virtual, all of it. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { readShelf } from '../../planner/shelf/read-shelf';
import { readStand } from '../../planner/stand/read-stand';
import { CandidateCache } from '../../planner/suggest/candidates';
import { loadSolver } from '../../planner/suggest/milp';
import { seeded } from '../support/random';
import { type Job, MOST_CYCLES, play, WAVELENGTH_NM, type Workshop } from './job';

/** The planned path, all of it, without a stand. */
const asPlanned: Workshop['run'] = async (virtual, { lap, turntableRpm }, path) => {
  virtual.walk(path, lap, 0, path.turns, turntableRpm);
};

export async function openWorkshop(perfectTester: boolean, run: Workshop['run'] = asPlanned): Promise<Workshop> {
  const text = (name: string, folder: string): string => readFileSync(join(folder, name), 'utf8');
  const shelf = readShelf(text('shelf.yaml', __dirname), 'shelf.yaml').shelf;
  const stand = readStand(text('stand.yaml', join(__dirname, '../../planner/examples')), 'stand.yaml').stand;
  if (!shelf || !stand) throw new Error('The shelf of the whole job or the demo stand cannot be read.');
  const solver = await loadSolver();
  return { shelf, stand, glassId: 'glass-300', solver, cache: new CandidateCache(), perfectTester, run };
}

export interface Tally {
  mirrors: number;
  /** Shares of the mirrors. */
  within: number;
  overcut10: number;
  overcut15: number;
  overcut30: number;
}

export function tally(jobs: readonly Job[]): Tally {
  const share = (holds: (job: Job) => boolean): number => jobs.filter(holds).length / jobs.length;
  return {
    mirrors: jobs.length,
    within: share((job) => job.endPvNm <= WAVELENGTH_NM / 8),
    overcut10: share((job) => job.overcutNm <= 10),
    overcut15: share((job) => job.overcutNm <= 15),
    overcut30: share((job) => job.overcutNm <= 30),
  };
}

async function main(): Promise<void> {
  const [mirrors = '10', first = '1', tester = ''] = process.argv.slice(2);
  const workshop = await openWorkshop(tester === 'perfect');
  const jobs: Job[] = [];
  for (let seed = Number(first); seed < Number(first) + Number(mirrors); seed++) {
    const job = await play(seed, seeded(seed), workshop);
    jobs.push(job);
    const features = job.features.map(
      (f) => `${f.heightNm.toFixed(0)} nm at ${f.radiusMm.toFixed(0)} (${f.widthMm.toFixed(0)} mm)`,
    );
    console.log(
      `\nVirtual mirror ${seed}: ${features.join(', ')}; ${job.windows} windows; k off by ${(100 * (job.truth.kPerPa / 8.06e-13 - 1)).toFixed(0)} %`,
    );
    for (const [i, cycle] of job.cycles.entries()) {
      console.log(
        `  cycle ${i + 1}: wavefront ${cycle.truePvNm.toFixed(0)} nm (measured ${cycle.measuredPvNm.toFixed(0)}), ${cycle.lap}, ` +
          `${cycle.stints} stints, ${cycle.turns} turns, ${cycle.minutes.toFixed(0)} min; k held for ${cycle.kRatio.toFixed(2)} of the truth ` +
          `(to ${(100 * cycle.kSigma).toFixed(0)} %); overcut so far ${cycle.overcutNm.toFixed(1)} nm`,
      );
    }
    const good = job.endPvNm <= WAVELENGTH_NM / 8 ? 'good' : 'NOT GOOD';
    console.log(
      `  end: wavefront ${job.endPvNm.toFixed(0)} nm, ${good}; overcut ${job.overcutNm.toFixed(1)} nm; ${job.cycles.length} cycles of at most ${MOST_CYCLES}`,
    );
  }
  const { within, overcut10, overcut15, overcut30 } = tally(jobs);
  const percent = (value: number): string => `${(100 * value).toFixed(0)} %`;
  console.log(
    `\n${jobs.length} virtual mirrors: wavefront within 1/8 wave ${percent(within)}; overcut at most 10 nm ${percent(overcut10)}, ` +
      `15 nm ${percent(overcut15)}, 30 nm ${percent(overcut30)}`,
  );
}

if (require.main === module) void main();
