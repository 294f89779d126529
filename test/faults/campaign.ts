/** Many cases of one seed, and what came of them. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { PinBoard } from '../../firmware-host/controller/pin-table';
import { type CaseOptions, type CaseResult, caseName, runCase } from './case';

export interface Campaign {
  cases: number;
  failed: readonly CaseResult[];
  standSeconds: number;
  /** Names of the incidents that came to pass. */
  begun: readonly string[];
}

/** Runs cases `from` .. `from + count - 1` of a seed, on an emulated chip where a board is named. `told` gets each result as it comes. */
export async function runCampaign(
  seed: number,
  count: number,
  from = 0,
  told: (result: CaseResult) => void = () => {},
  board?: PinBoard['board'],
): Promise<Campaign> {
  const failed: CaseResult[] = [];
  const begun: string[] = [];
  let standSeconds = 0;
  for (let number = from; number < from + count; number++) {
    const result = await runCase({ seed, number, ...(board === undefined ? {} : { board }) });
    standSeconds += result.standSeconds;
    begun.push(...result.begun);
    if (result.wrong.length > 0) failed.push(result);
    told(result);
  }
  return { cases: count, failed, standSeconds, begun };
}

/** What went wrong in a case, how to see it again, and the line by which once-failed.json keeps it whatever is drawn in future. */
export function failureWords({ seed, number, program, incidents, words, wrong, events }: CaseResult): string {
  const name = caseName(seed, number);
  return [
    `case ${name}: ${words}`,
    ...wrong.map((line) => `  ! ${line}`),
    ...events.slice(-12).map((line) => `    ${line}`),
    `  again: npm run faults -- --replay ${name}`,
    `  ${JSON.stringify({ seed, number, given: { program, incidents } })}`,
  ].join('\n');
}

/** Cases that once failed; they are walked again with every campaign. */
export function onceFailed(): (CaseOptions & { found: string })[] {
  return JSON.parse(readFileSync(join(__dirname, 'once-failed.json'), 'utf8')) as (CaseOptions & { found: string })[];
}
