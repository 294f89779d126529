/** A short run whose line ends after a given number of bytes, or whose host ends before a given row of the logbook. */
import { type CaseResult, runCase } from './case';
import type { CaseWorld } from './case-world';
import type { Incident } from './incidents';

const nothing = (): void => {};
const LINE = /line to the stand|too many errors|silent|nobody knows|without being asked|another program/;
/** The shortest of the campaign's programs. */
const PROGRAM = 0;

/** How the line is to end: after so many bytes of the walk one way; the cable is put in again after a second. */
export function cutAfter(bytes: number, way: 'toStand' | 'toHost'): Promise<CaseResult> {
  const incident: Incident = {
    name: `cut after byte ${bytes} ${way}`,
    at: 0.02,
    seconds: 3,
    must: null,
    may: LINE,
    begin: (world) => world.host.line.cutAfter(bytes, way),
    end(world) {
      if (world.host.line.isCut) {
        world.stand.unplug();
        world.host.plugIn();
      }
    },
  };
  return runCase({
    seed: bytes,
    number: way === 'toStand' ? 1 : 2,
    given: { program: PROGRAM, incidents: [] },
    add: [incident],
  });
}

/** The host is gone just before its n-th row would be written, and begun anew after a second. Says whether there was such a row. */
export async function killedBeforeRow(row: number): Promise<{ result: CaseResult; killed: boolean }> {
  let rows = 0;
  let killed = false;
  const incident: Incident = {
    name: `killed before row ${row}`,
    at: Number.NEGATIVE_INFINITY,
    seconds: 0,
    must: null,
    may: null,
    begin: nothing,
    end: nothing,
  };
  const beforeRow = (world: CaseWorld): void => {
    rows++;
    if (rows !== row) return;
    killed = true;
    world.oracle.mustRest(1.35, 'its host was killed');
    world.oracle.mayOverlap(Math.min(1, world.turnsIn(5)) + world.turnsIn(0.9));
    world.host.kill();
    world.after(1, () => world.startHost());
    throw new Error('killed');
  };
  const result = await runCase({
    seed: row,
    number: 3,
    given: { program: PROGRAM, incidents: [] },
    add: [incident],
    beforeRow,
  });
  return { result, killed };
}
