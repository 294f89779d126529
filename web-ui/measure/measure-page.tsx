import { useEffect, useRef, useState } from 'preact/hooks';
import type { KeptMeasurement, View } from '../../firmware-host/server/messages';
import type { Figure } from '../../planner/figure/types';
import type { Shelf } from '../../planner/shelf/types';
import { ask, lastRefusal } from '../live/connection';
import { SelectField } from '../plan/choices';
import { download } from '../plan/download';
import { inUnit } from '../plan/plan-words';
import { fileName } from '../plan/send';
import { unit } from '../settings';
import type { LengthUnit } from '../words';
import { keepWishes } from './advice';
import { AdvicePanel } from './advice-panel';
import { type FileDraft, isEmpty, type MeasureDraft, newReadings } from './draft';
import { exampleText } from './example';
import { ComplaintWords } from './field';
import { openFiles, openText } from './files';
import { KeptList, LearnPanel } from './learn-panel';
import { ReadingSheet, sectionWords } from './reading-sheet';
import { SectionDrawing } from './section';
import { countedWords, headline, numbersWords, otherFindings } from './sentences';
import { ShadowPicture } from './shadow';
import {
  complaintsAt,
  draft as draftNow,
  failed,
  figure as figureNow,
  history,
  judged,
  keepReducing,
  redoChange,
  reference,
  replaceDraft,
  startWith,
  undoChange,
} from './store';
import { MaskFields, RestFields, TakeFields, TestFields } from './test-fields';
import { useWidth } from './width';
import { keepMeasurement, refreshWorkbook } from './workbook';
import { measurementText } from './write';

/** A file of more than that is no measurement a person noted. */
const LARGEST_BYTES = 1_000_000;

/** Ctrl+Z and its inverse, except where a line of words has its own. */
function useUndoKeys(): void {
  useEffect(() => {
    const onKey = (event: KeyboardEvent): void => {
      const key = event.key.toLowerCase();
      if (!(event.ctrlKey || event.metaKey) || (key !== 'z' && key !== 'y')) return;
      if (event.target instanceof HTMLInputElement && event.target.dataset.words !== undefined) return;
      event.preventDefault();
      if (key === 'y' || event.shiftKey) redoChange();
      else undoChange();
    };
    addEventListener('keydown', onKey);
    return () => removeEventListener('keydown', onKey);
  }, []);
}

export function MeasurePage({ view }: { view: View }) {
  useUndoKeys();
  const known = view.loaded?.shelf ?? null;
  if (known === null || Object.keys(known.glasses).length === 0)
    return (
      <main class="measure" aria-label="Measure">
        <h1>No glass on the shelf yet</h1>
        <p>A measurement is of a glass. Start the host with a program, so that its shelf is known.</p>
      </main>
    );
  return <Measuring view={view} shelf={known} />;
}

function Measuring({ view, shelf }: { view: View; shelf: Shelf }) {
  const shelfWords = JSON.stringify(shelf);
  useEffect(() => {
    startWith(shelf);
    keepReducing();
    keepWishes(view.loaded?.program.slurry?.id ?? '');
  }, [shelfWords]);
  // A run that ends may be learned from.
  useEffect(() => void refreshWorkbook(), [view.launch, view.runId, view.report === null]);
  const draft = draftNow.value;
  if (draft === null) return <main class="measure" aria-label="Measure" />;
  const length = unit.value ?? 'mm';
  const figure = figureNow.value;
  const head = headline(draft, judged.value, figure, length);
  const empty = draft.kind === 'readings' && isEmpty(draft) && figure === null;
  const counted = countedWords(draft, judged.value);
  const source = draft.kind === 'readings' ? (draft.source ?? 'moving') : 'moving';
  return (
    <main class="measure" aria-label="Measure">
      <div class="lead">
        <div class="sentences">
          {draft.virtual ? (
            <p class="virtual-mark">Of a virtual glass: nothing of it is of real iron or glass.</p>
          ) : null}
          <h1 class="numeric">{head}</h1>
          <p class="unseen" role="status">
            {head}
          </p>
          {empty ? <HowTo /> : null}
          {figure ? (
            <ul class="findings">
              {otherFindings(figure, length).map((words) => (
                <li key={words}>{words}</li>
              ))}
              <li class="numeric">{numbersWords(figure)}</li>
            </ul>
          ) : null}
          {counted ? <p class="note">{counted}</p> : null}
          {failed.value ? <p class="complaint">{failed.value}</p> : null}
          <ComplaintWords words={complaintsAt('file')} />
          <Beginnings view={view} shelf={shelf} />
        </div>
        {figure ? <ShadowPicture figure={figure} source={source} /> : null}
      </div>
      {draft.kind === 'readings' ? (
        <>
          <ReadingSheet draft={draft} figure={figure} words={sectionWords(draft, figure)} />
          <div class="tested">
            <TakeFields draft={draft} />
            <TestFields draft={draft} shelf={shelf} />
            <MaskFields draft={draft} />
            <RestFields draft={draft} />
          </div>
        </>
      ) : (
        <FileSheet draft={draft} figure={figure} />
      )}
      {figure ? <ReferenceChoice /> : null}
      {figure ? <AdvicePanel view={view} figure={figure} /> : null}
      <div class="tested">
        <KeptList onOpen={(kept) => openKept(kept, shelf, length)} />
        <LearnPanel view={view} />
      </div>
    </main>
  );
}

function openKept({ id, text }: KeptMeasurement, shelf: Shelf, length: LengthUnit): void {
  const opened = openText({ name: `measurement-${id}.yaml`, text }, {}, shelf, length);
  if ('draft' in opened) replaceDraft(opened.draft);
  else lastRefusal.value = `It cannot be opened any more: ${opened.wrong.join(' ')}`;
}

function HowTo() {
  return (
    <div class="how-to">
      <p>
        Type the knife's reading under each window of the mask, from the middle outwards; they grow away from the glass,
        and where they begin does not matter. As soon as one take is complete you read here, in words, which zones stand
        high, which lie low, and how sure that is. Then ask for a suggestion: lap, strokes and turns, sent to the Plan
        page as a program.
      </p>
    </div>
  );
}

/** Ways to begin: an example, a file, the virtual glass, an empty sheet. */
function Beginnings({ view, shelf }: { view: View; shelf: Shelf }) {
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

/** A profile or a list of polynomials: the drawing without fields. */
function FileSheet({ draft, figure }: { draft: FileDraft; figure: Figure | null }) {
  const box = useRef<HTMLDivElement>(null);
  const width = useWidth(box);
  const length = unit.value ?? 'mm';
  const { measurement } = judged.value;
  const tables = Object.keys(draft.tables);
  return (
    <section class="reading-sheet" aria-label="From a file">
      <p>
        From {draft.name}
        {tables.length > 0 ? ` with ${tables.join(', ')}` : ''}
        {measurement?.kind === 'profile' ? `: a profile of ${measurement.points.length} points` : ''}
        {measurement?.kind === 'zernike' ? `: ${measurement.terms.length} polynomials` : ''}
      </p>
      <div ref={box}>
        {width > 0 && measurement ? (
          <SectionDrawing
            glass={measurement.glass}
            figure={figure}
            openings={[]}
            columnXPx={[]}
            widthPx={width}
            axisXPx={72}
            rimXPx={width - 14}
            unit={length}
            words={`The glass cut open from its axis to its rim, ${measurement.glass.title}.`}
          />
        ) : null}
      </div>
    </section>
  );
}

function ReferenceChoice() {
  return (
    <section class="fields" aria-label="How it is drawn">
      <SelectField
        label="Heights are drawn and counted from"
        value={reference.value}
        options={[
          ['highest under', 'the highest true curve under the whole surface'],
          ['most of the area', 'the true curve that most of the area lies on'],
          ['best fit', 'the best fit'],
          ['same vertex radius', 'the curve with the same radius at the vertex'],
        ]}
        onChoose={(value) => (reference.value = value as typeof reference.value)}
      />
    </section>
  );
}

/** The Measure page's own commands in the bar at the foot. */
export function MeasureCommands({ view }: { view: View }) {
  const draft = draftNow.value;
  const [kept, setKept] = useState<{ draft: MeasureDraft; id: number } | null>(null);
  const [busy, setBusy] = useState(false);
  if (draft === null || view.loaded === null) return null;
  const { shelf } = view.loaded;
  const ready = judged.value.measurement !== null;
  // A table of its own beside it cannot be sent.
  const sendable = draft.kind === 'readings' || Object.keys(draft.tables).length === 0;
  const keep = async (): Promise<void> => {
    setBusy(true);
    const id = await keepMeasurement(textOf(draft, shelf));
    setBusy(false);
    if (id !== null) setKept({ draft, id });
  };
  const already = kept?.draft === draft;
  return (
    <>
      <button
        type="button"
        class="strong"
        disabled={!ready || !sendable || busy || already}
        onClick={() => void keep()}
      >
        {already ? `Kept as number ${kept.id}` : 'Keep it'}
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
