import { useState } from 'preact/hooks';
import type { View } from '../../firmware-host/server/messages';
import type { Shelf } from '../../planner/shelf/types';
import { download } from '../plan/download';
import { fileName } from '../plan/send';
import { keptAs } from './book';
import type { MeasureDraft } from './draft';
import { draft as draftNow, judged } from './store';
import { keepMeasurement, workbook } from './workbook';
import { measurementText } from './write';

/** The Measure page's own commands in the bar at the foot. */
export function MeasureCommands({ view }: { view: View }) {
  const draft = draftNow.value;
  const [busy, setBusy] = useState(false);
  if (draft === null || view.loaded === null) return null;
  const { shelf } = view.loaded;
  const ready = judged.value.measurement !== null;
  // A table of its own beside it cannot be sent.
  const sendable = draft.kind === 'readings' || Object.keys(draft.tables).length === 0;
  const keep = async (): Promise<void> => {
    setBusy(true);
    await keepMeasurement(textOf(draft, shelf));
    setBusy(false);
  };
  const already = ready && sendable ? keptAs(textOf(draft, shelf), workbook.value?.measurements ?? []) : null;
  return (
    <>
      <button
        type="button"
        class="strong"
        disabled={!ready || !sendable || busy || already !== null}
        onClick={() => void keep()}
      >
        {already === null ? 'Keep it' : `Kept as number ${already}`}
        <small>{sendable ? 'in the logbook, to learn from' : 'not with a table beside it'}</small>
      </button>
      <button type="button" disabled={!ready} onClick={() => save(draft, shelf)}>
        Save as a file
        <small>{fileName(titleOf(draft))}</small>
      </button>
    </>
  );
}

function titleOf(draft: MeasureDraft): string {
  return draft.kind === 'file' ? draft.name.replace(/\.ya?ml$/i, '') : draft.title;
}

function save(draft: MeasureDraft, shelf: Shelf): void {
  if (draft.kind === 'file') download(draft.text, draft.name);
  else download(textOf(draft, shelf), fileName(titleOf(draft)));
}

function textOf(draft: MeasureDraft, shelf: Shelf): string {
  return draft.kind === 'file' ? draft.text : measurementText(draft, shelf, complete(draft));
}

/** A take with a gap or a slip is not written: the file would be refused. */
function complete(draft: Extract<MeasureDraft, { kind: 'readings' }>) {
  const { counted } = judged.value;
  return draft.takes.filter(({ id }) => counted.includes(id));
}
