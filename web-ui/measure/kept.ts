/** The measurement outlives a reload of its page and a closed tab: it may have taken an hour to read. */
import { type Drawer, isAlike, lookUp, put } from '../drawer';
import { type FileDraft, type MeasureDraft, newReadings, type ReadingsDraft } from './draft';

const KEY = 'wholeturn.measurement';

export function keepDraft(draft: MeasureDraft, storage: Drawer): void {
  put(KEY, draft, storage);
}

/**
 * What was kept, or null where there is nothing or it was kept by another edition of this page.
 *
 * @param like readings of this edition, which kept ones must be alike
 */
export function keptDraft(like: ReadingsDraft, storage: Drawer): MeasureDraft | null {
  const found = lookUp(KEY, storage);
  const file: FileDraft = { kind: 'file', name: '', text: '', tables: {}, virtual: false };
  if (isAlike(found, file) && found.kind === 'file') return found;
  return isReadings(found, newReadings(like.glass, like.unit)) ? found : null;
}

function isReadings(found: unknown, like: ReadingsDraft): found is ReadingsDraft {
  if (!isAlike(found, like) || found.kind !== 'readings' || !isAlike(found.glass, like.glass)) return false;
  const { windows, takes } = found;
  return (
    windows.every((one) => isAlike(one, like.windows[0]!)) &&
    takes.length > 0 &&
    takes.every((take) => isAlike(take, like.takes[0]!) && take.readings.length === windows.length)
  );
}
