import { useEffect, useRef } from 'preact/hooks';
import type { KeptMeasurement, View } from '../../firmware-host/server/messages';
import type { Figure } from '../../planner/figure/types';
import type { Shelf } from '../../planner/shelf/types';
import { lastRefusal } from '../live/connection';
import { SelectField } from '../plan/choices';
import { unit } from '../settings';
import { useUndoKeys } from '../undo-keys';
import type { LengthUnit } from '../words';
import { keepWishes } from './advice';
import { AdvicePanel } from './advice-panel';
import { Beginnings } from './beginnings';
import { type FileDraft, isEmpty } from './draft';
import { ComplaintWords } from './field';
import { openText } from './files';
import { keepHeadlines } from './kept-headlines';
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
import { refreshWorkbook } from './workbook';

export { MeasureCommands } from './commands';

export function MeasurePage({ view }: { view: View }) {
  useUndoKeys(undoChange, redoChange);
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
    keepHeadlines();
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
        label="The drawing counts heights from"
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
