/** A short run whose line ends after a given number of bytes, or whose host ends before or after a given row of the logbook. */
import { type CaseResult, runCase } from './case';
import type { CaseWorld } from './case-world';
import type { Incident } from './incident';
import { SHORT_PROGRAM } from './world';

const nothing = (): void => {};
const LINE = /line to the stand|too many errors|silent|nobody knows|without being asked|another program/;
/** The walk itself, and a second for the cut. */
const CUT_WITHIN_SECONDS = 9;
const OUT_SECONDS = 1;

/**
 * How the line is to end: after so many bytes of the walk one way; the cable is put in again after a second. `cut` says whether the walk
 * had so many bytes.
 */
export async function cutAfter(
  bytes: number,
  way: 'toStand' | 'toHost',
): Promise<{ result: CaseResult; cut: boolean }> {
  let cutAt: number | null = null;
  let mended = false;
  const incident: Incident = {
    name: `cut after byte ${bytes} ${way}`,
    at: 0.001,
    seconds: CUT_WITHIN_SECONDS,
    must: null,
    may: LINE,
    begin: (world) => world.host.line.cutAfter(bytes, way),
    during(world) {
      if (cutAt === null && world.host.line.isCut) cutAt = world.now();
      if (cutAt === null || mended || world.now() < cutAt + OUT_SECONDS) return;
      mended = true;
      world.stand.unplug();
      world.host.plugIn();
    },
    end(world) {
      if (cutAt === null) world.host.line.mend();
    },
  };
  const result = await runCase({
    seed: bytes,
    number: way === 'toStand' ? 1 : 2,
    given: { program: SHORT_PROGRAM, incidents: [] },
    add: [incident],
  });
  return { result, cut: cutAt !== null };
}

/** The host is gone just before its n-th row would be written, or as soon as it is, and begun anew after a second. */
export async function killedAtRow(
  row: number,
  when: 'before' | 'after',
): Promise<{ result: CaseResult; killed: boolean }> {
  let rows = 0;
  let killed = false;
  const incident: Incident = {
    name: `killed ${when} row ${row}`,
    at: Number.NEGATIVE_INFINITY,
    seconds: 0,
    must: null,
    may: null,
    begin: nothing,
    end: nothing,
  };
  const kill = (world: CaseWorld): void => {
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
    given: { program: SHORT_PROGRAM, incidents: [] },
    add: [incident],
    ...(when === 'before' ? { beforeRow: kill } : { afterRow: kill }),
  });
  return { result, killed };
}
