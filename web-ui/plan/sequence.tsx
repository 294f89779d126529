import { useEffect, useRef } from 'preact/hooks';
import { unit as lengthChoice } from '../settings';
import { plural } from '../words';
import { type Draft, type StepDraft, writtenStints } from './draft';
import {
  addAfter,
  duplicate,
  type Edited,
  findStep,
  mayMove,
  mayRemove,
  move,
  remove,
  takeApart,
  wrapInRepeat,
} from './edits';
import { cardWords } from './plan-words';
import { change, complaints, history, redoChange, select, undoChange } from './store';

/** The stints in the order in which they are worked, and what can be done to the list. */
export function Sequence({ draft, selected }: { draft: Draft; selected: number }) {
  const { past = [], future = [] } = history.value ?? {};
  const edit = (way: (draft: Draft, id: number) => Edited) => () => change((now) => way(now.draft, now.selected));
  const moved = (way: 1 | -1) => edit((now, id) => ({ draft: move(now, id, way), selected: id }));
  const isRepeat = findStep(draft, selected)?.kind === 'repeat';
  return (
    <section class="sequence" aria-label="Stints">
      <Cards steps={draft.steps} draft={draft} selected={selected} />
      <div class="tools">
        <Tool words="Add" onClick={edit(addAfter)} />
        <Tool words="Duplicate" onClick={edit(duplicate)} />
        <Tool words="Earlier" off={!mayMove(draft, selected, -1)} onClick={moved(-1)} />
        <Tool words="Later" off={!mayMove(draft, selected, 1)} onClick={moved(1)} />
        {isRepeat ? (
          <Tool words="Once only" onClick={edit(takeApart)} />
        ) : (
          <Tool words="Repeat" onClick={edit(wrapInRepeat)} />
        )}
        <Tool words="Delete" off={!mayRemove(draft, selected)} onClick={edit(remove)} />
        <Tool words="Undo" keys="Control+Z" off={past.length === 0} onClick={undoChange} />
        <Tool words="Redo" keys="Control+Shift+Z" off={future.length === 0} onClick={redoChange} />
      </div>
    </section>
  );
}

function Tool(props: { words: string; onClick: () => void; off?: boolean; keys?: string }) {
  return (
    <button
      type="button"
      class="small"
      disabled={props.off ?? false}
      aria-keyshortcuts={props.keys}
      onClick={props.onClick}
    >
      {props.words}
    </button>
  );
}

function Cards({ steps, draft, selected }: { steps: readonly StepDraft[]; draft: Draft; selected: number }) {
  return (
    <ol class="cards">
      {steps.map((step) =>
        step.kind === 'stint' ? (
          <StintCard key={step.id} id={step.id} draft={draft} selected={selected} />
        ) : (
          <li key={step.id} class="repeat">
            <button
              type="button"
              class="card times"
              aria-pressed={step.id === selected}
              onClick={() => select(step.id)}
            >
              {plural(step.times, 'time')}
            </button>
            <Cards steps={step.steps} draft={draft} selected={selected} />
          </li>
        ),
      )}
    </ol>
  );
}

/** Brings the selected card into the row's view; the page itself stays where it is. */
function useInView(isSelected: boolean) {
  const card = useRef<HTMLButtonElement>(null);
  useEffect(() => {
    const row = card.current?.closest('.sequence')?.querySelector('.cards');
    if (!isSelected || !row) return;
    const [own, seen] = [card.current!.getBoundingClientRect(), row.getBoundingClientRect()];
    if (own.left < seen.left) row.scrollLeft -= seen.left - own.left + 8;
    else if (own.right > seen.right) row.scrollLeft += own.right - seen.right + 8;
  }, [isSelected]);
  return card;
}

function StintCard({ id, draft, selected }: { id: number; draft: Draft; selected: number }) {
  const stints = writtenStints(draft);
  const index = stints.findIndex((stint) => stint.id === id);
  const { first, second } = cardWords(stints[index]!, lengthChoice.value ?? 'mm');
  const card = useInView(id === selected);
  const wrong = complaints.value.some(({ stint }) => stint === index + 1);
  return (
    <li>
      <button ref={card} type="button" class="card" aria-pressed={id === selected} onClick={() => select(id)}>
        <strong>
          {index + 1} · {first}
        </strong>
        <span>{second}</span>
        {wrong ? <em>to mend</em> : null}
      </button>
    </li>
  );
}
