/** Some rows of the stop table on each image that is flashed, emulated. All of them: test/proof/stop-table-chip.proof.ts. */
import { test } from 'vitest';
import { shortChipBench } from '../faults/chip-bench';
import { ROWS, walkRow } from '../run/stop-table';

const SAMPLE = ['guard opens', 'host silent for 3 s'];
const rows = ROWS.filter(({ name }) => SAMPLE.includes(name));

test.each((['reference', 'small'] as const).flatMap((board) => rows.map((row) => ({ board, row, name: row.name }))))(
  '$board board, $name',
  async ({ board, row }) => {
    await walkRow(shortChipBench(board).bench, row);
  },
);
