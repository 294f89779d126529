/** Every row of the stop table on both images that are flashed, emulated, under the host's real run control. */
import { afterAll, expect, test } from 'vitest';
import { shortChipBench } from '../faults/chip-bench';
import { ROWS } from '../run/stop-rows';
import { fullDiscAtStart, killedHost, type Measured, measuredWords, missingSwitch, walkRow } from '../run/stop-table';

const measured: string[] = [];
afterAll(() => console.log(measured.join('\n')));

const BOARDS = ['reference', 'small'] as const;
const note = (board: string, name: string, found: Measured): void => {
  measured.push(`${board} board, ${measuredWords(name, found)}`);
};

test.each(BOARDS.flatMap((board) => ROWS.map((row) => ({ board, row, name: row.name }))))(
  '$board board, $name',
  async ({ board, row }) => {
    const { bench, bytesLost } = shortChipBench(board);
    note(board, row.name, await walkRow(bench, row));
    expect(bytesLost()).toBe(0);
  },
);

test.each(BOARDS)('%s board, host killed', async (board) => {
  note(board, 'host killed', await killedHost(shortChipBench(board).bench));
});

test.each(BOARDS)('%s board, a switch that is not found at the start', (board) =>
  missingSwitch(shortChipBench(board).bench),
);

test.each(BOARDS)('%s board, a start while the logbook cannot be written', (board) =>
  fullDiscAtStart(shortChipBench(board).bench),
);
