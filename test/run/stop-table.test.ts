/**
 * Each row of the stop table on the controller's own core. The same rows on the two images that are flashed: test/proof/stop-table-chip.proof.ts.
 */
import { afterAll, expect, test } from 'vitest';
import { leftStanding } from '../../firmware-host/run/virtual-run';
import { VirtualStand } from '../../firmware-host/virtual/virtual-stand';
import { program } from '../support/programs';
import { type Bench, ROWS } from './stop-rows';
import { fullDiscAtStart, killedHost, measuredWords, missingSwitch, readyOn, walkRow } from './stop-table';
import { quickStand } from './support';

const bench: Bench = {
  stand: quickStand,
  start: leftStanding(quickStand),
  turntableRpm: 5,
  stint: {},
  make: (stand, start) => new VirtualStand({ stand, start, bootId: 7 }),
};

const measured: string[] = [];
afterAll(() => {
  if (process.env.WHOLETURN_MEASURED) console.log(measured.join('\n'));
});

test.each(ROWS)('$name: stops, says why, and moves again only when somebody says so', async (row) => {
  measured.push(measuredWords(row.name, await walkRow(bench, row)));
});

test('host killed: eases by itself, and the next host goes on from there', async () => {
  measured.push(measuredWords('host killed', await killedHost(bench)));
});

test('a switch that is not found at the start', () => missingSwitch(bench));

test('a start while the logbook cannot be written', () => fullDiscAtStart(bench));

test('a stand that was just switched on moves nothing until it is cleared, reset and started', async () => {
  const { run } = await readyOn(bench, program([{ turns: 2 }], { turntableRpm: 5 }));
  const { steps, travel } = run.stand.truth();
  await run.until(() => false, 5);
  expect(run.stand.truth()).toMatchObject({ steps, travel });
  expect(run.conductor.snapshot()).toMatchObject({ state: 'Idle', turnsWalked: 0 });
});
