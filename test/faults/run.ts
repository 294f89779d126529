/** The fault campaign from the command line: `npm run faults -- [--cases N] [--seed S] [--replay SEED:CASE] [--board reference|small]`. */
import { randomInt } from 'node:crypto';
import { parseArgs } from 'node:util';
import { failureWords, runCampaign } from './campaign';
import { type CaseResult, runCase } from './case';

async function main(): Promise<number> {
  const { values } = parseArgs({
    options: {
      cases: { type: 'string' },
      seed: { type: 'string' },
      replay: { type: 'string' },
      board: { type: 'string' },
    },
  });
  const { board } = values;
  if (board !== undefined && board !== 'reference' && board !== 'small')
    throw new Error('--board is reference or small');
  const on = board === undefined ? {} : ({ board } as const);
  if (values.replay !== undefined) {
    const [seed, number] = values.replay.split(':').map(Number);
    if (!Number.isInteger(seed) || !Number.isInteger(number)) throw new Error('--replay wants SEED:CASE');
    const result = await runCase({ seed: seed!, number: number!, ...on });
    console.log(`${result.words}\n${result.events.map((words) => `  ${words}`).join('\n')}`);
    console.log(result.wrong.length === 0 ? 'nothing wrong' : failureWords(result));
    return result.wrong.length === 0 ? 0 : 1;
  }
  const cases = Number(values.cases ?? 500);
  const seed = values.seed === undefined ? randomInt(2 ** 31) : Number(values.seed);
  if (!Number.isInteger(cases) || !Number.isInteger(seed)) throw new Error('--cases and --seed want whole numbers');
  console.log(`seed ${seed}, ${cases} cases`);
  const began = performance.now();
  const told = (result: CaseResult): void => {
    if (result.wrong.length > 0) console.log(failureWords(result));
  };
  const { failed, standSeconds } = await runCampaign(seed, cases, 0, told, board);
  const seconds = (performance.now() - began) / 1000;
  console.log(
    `${cases - failed.length} of ${cases} cases as they should be; ${(standSeconds / 3600).toFixed(1)} hours of the stand in ` +
      `${seconds.toFixed(0)} s`,
  );
  return failed.length === 0 ? 0 : 1;
}

void main().then(
  (code) => {
    process.exitCode = code;
  },
  (error: Error) => {
    console.error(error.message);
    process.exitCode = 1;
  },
);
