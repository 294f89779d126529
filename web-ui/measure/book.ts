/** What is read out of the logbook's workbook: coefficients, and which measurements a run lies between. Pure. */
import type { KeptMeasurement, Knowledge, RunOffered } from '../../firmware-host/server/messages';
import { BEFORE_LEARNING } from '../../planner/learn/combine';
import type { Lap } from '../../planner/shelf/types';
import type { LapKnowledge } from '../../planner/suggest/suggest';

export interface Recipe {
  slurryId: string | null;
  glassId: string;
  /** What was learned on a virtual stand holds for a virtual stand only. */
  virtual: boolean;
}

/** What runs taught about a lap, else what is held for likely before any run. */
export function knownOf(knowledge: readonly Knowledge[], { id }: Pick<Lap, 'id'>, recipe: Recipe): LapKnowledge {
  const found = knowledge.find(
    (one) =>
      one.lapId === id &&
      one.slurryId === recipe.slurryId &&
      one.glassId === recipe.glassId &&
      one.virtual === recipe.virtual,
  );
  return found ? { kPerPa: found.kPerPa, sigma: found.sigma, runs: found.runs } : { ...BEFORE_LEARNING, runs: 0 };
}

/** The measurements that a run most likely lies between: the last of its glass before it began, the first after it ended. */
export function around(
  run: RunOffered,
  measurements: readonly KeptMeasurement[],
): { before: KeptMeasurement | null; after: KeptMeasurement | null } {
  const ofGlass = measurements.filter(({ glassId }) => glassId === run.glassId).sort((a, b) => a.atMs - b.atMs);
  return {
    before: ofGlass.findLast(({ atMs }) => atMs <= run.startedMs) ?? null,
    after: ofGlass.find(({ atMs }) => atMs >= run.endedMs) ?? null,
  };
}

/** What people call it, from its file; its number where it has no title. */
export function titleOf({ id, text }: KeptMeasurement): string {
  const written = /^title:[ \t]*(.+)$/m.exec(text)?.[1]?.trim();
  if (!written) return `Measurement ${id}`;
  try {
    return written.startsWith('"') ? String(JSON.parse(written)) : written;
  } catch {
    return written;
  }
}

/** Under which number the very same readings are kept already, the newest of them; null where they are not. */
export function keptAs(text: string, measurements: readonly KeptMeasurement[]): number | null {
  const same = measurements.filter((one) => one.text === text);
  return same.length === 0 ? null : Math.max(...same.map(({ id }) => id));
}
