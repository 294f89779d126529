/** `npm run bench [word]`: runs every *.bench.ts here whose name holds the word, prints a row each, exits 1 on a failed goal. */
import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import { type Bench, runBench } from './harness';

async function main(): Promise<void> {
  const word = process.argv[2] ?? '';
  const files = readdirSync(__dirname).filter((file) => file.endsWith('.bench.ts') && file.includes(word));
  let failed = 0;
  for (const file of files) {
    const { benches } = require(join(__dirname, file)) as { benches: () => Bench[] | Promise<Bench[]> };
    for (const bench of await benches()) {
      const { best, median, verdict } = await runBench(bench);
      const sign = bench.better === 'smaller' ? '<=' : '>=';
      const figure = (value: number): string => value.toPrecision(4);
      console.log(
        `${verdict.padEnd(8)} ${bench.name}: best ${figure(best)}, median ${figure(median)} ${bench.unit} (goal ${sign} ${bench.goal})` +
          (bench.note ? `; ${bench.note}` : ''),
      );
      if (verdict === 'failed') failed++;
    }
  }
  if (failed > 0) process.exitCode = 1;
}

void main();
