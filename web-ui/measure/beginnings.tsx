import { useRef, useState } from 'preact/hooks';
import type { View } from '../../firmware-host/server/messages';
import type { Shelf } from '../../planner/shelf/types';
import { ask } from '../live/connection';
import { inUnit } from '../plan/plan-words';
import { unit } from '../settings';
import { newReadings } from './draft';
import { exampleText } from './example';
import { openFiles, openText } from './files';
import { draft as draftNow, history, redoChange, replaceDraft, undoChange } from './store';

/** A file of more than that is no measurement a person noted. */
const LARGEST_BYTES = 1_000_000;

/** Ways to begin: an example, a file, the virtual glass, an empty sheet. */
export function Beginnings({ view, shelf }: { view: View; shelf: Shelf }) {
  const input = useRef<HTMLInputElement>(null);
  const [wrong, setWrong] = useState<string[]>([]);
  const [reading, setReading] = useState(false);
  const draft = draftNow.value!;
  const length = unit.value ?? 'mm';
  const take = (opened: ReturnType<typeof openFiles>): void => {
    if ('wrong' in opened) setWrong(opened.wrong);
    else {
      setWrong([]);
      replaceDraft(opened.draft);
    }
  };
  const readVirtual = async (): Promise<void> => {
    setReading(true);
    const answer = await ask({ ask: 'readVirtualGlass', takes: 1, diameters: 3 });
    setReading(false);
    if (answer.ok) take(openText({ name: 'virtual glass', text: answer.text }, {}, shelf, length));
  };
  const open = async (files: File[]): Promise<void> => {
    const large = files.find((file) => file.size > LARGEST_BYTES);
    if (large) setWrong([`${large.name} has ${large.size} bytes; a measurement has ${LARGEST_BYTES} at most.`]);
    else
      take(
        openFiles(
          await Promise.all(files.map(async (file) => ({ name: file.name, text: await file.text() }))),
          shelf,
          length,
        ),
      );
  };
  return (
    <>
      <div class="tools">
        <button
          type="button"
          class="small"
          onClick={() => take(openText({ name: 'example', text: exampleText(shelf) }, {}, shelf, length))}
        >
          Open the example
        </button>
        <button type="button" class="small" onClick={() => input.current?.click()}>
          Open a file
        </button>
        {view.virtual ? (
          <button type="button" class="small" disabled={reading} onClick={() => void readVirtual()}>
            {reading ? 'Reading …' : 'Read the virtual glass'}
          </button>
        ) : null}
        <button
          type="button"
          class="small"
          onClick={() =>
            replaceDraft(
              newReadings(draft.kind === 'readings' ? draft.glass : Object.values(shelf.glasses)[0]!, length),
            )
          }
        >
          Begin an empty sheet
        </button>
        <button type="button" class="small" disabled={history.value?.past.length === 0} onClick={undoChange}>
          Undo
        </button>
        <button type="button" class="small" disabled={history.value?.future.length === 0} onClick={redoChange}>
          Redo
        </button>
      </div>
      <input
        ref={input}
        type="file"
        hidden
        multiple
        accept=".yaml,.yml,.csv,.txt"
        aria-label="A measurement from a file, and its table"
        onChange={(event) => {
          const files = Array.from(event.currentTarget.files ?? []);
          if (files.length > 0) void open(files);
          // The same file can be chosen again once it is mended.
          event.currentTarget.value = '';
        }}
      />
      {wrong.length > 0 ? (
        <div class="complaint" role="alert">
          <p>It was not opened, and what was here is as it was.</p>
          <ul>
            {wrong.map((words) => (
              <li key={words}>{inUnit(words, length)}</li>
            ))}
          </ul>
        </div>
      ) : null}
    </>
  );
}
