/** Many cases of one seed, and what came of them. */
import { type CaseResult, caseName, runCase } from './case';

export interface Campaign {
  cases: number;
  failed: readonly CaseResult[];
  standSeconds: number;
}

/** Runs cases `from` .. `from + count - 1` of a seed. `told` gets each result as it comes. */
export async function runCampaign(
  seed: number,
  count: number,
  from = 0,
  told: (result: CaseResult) => void = () => {},
): Promise<Campaign> {
  const failed: CaseResult[] = [];
  let standSeconds = 0;
  for (let number = from; number < from + count; number++) {
    const result = await runCase({ seed, number });
    standSeconds += result.standSeconds;
    if (result.wrong.length > 0) failed.push(result);
    told(result);
  }
  return { cases: count, failed, standSeconds };
}

/** What went wrong in a case, and how to see it again. */
export function failureWords({ seed, number, words, wrong, events }: CaseResult): string {
  const name = caseName(seed, number);
  return [
    `case ${name}: ${words}`,
    ...wrong.map((line) => `  ! ${line}`),
    ...events.slice(-12).map((line) => `    ${line}`),
    `  again: npm run faults -- --replay ${name}`,
  ].join('\n');
}
