/** Readings under the radius axis of the half-section: each window of the mask has its fields where it lies on the glass. */
import { useEffect, useRef, useState } from 'preact/hooks';
import type { Figure } from '../../planner/figure/types';
import { shown, understood } from '../plan/number-entry';
import { inUnit } from '../plan/plan-words';
import { type LengthUnit, lengthWords, plural } from '../words';
import { EDGE, type ReadingsDraft, type TakeDraft, type WindowDraft, withEdge, withReading } from './draft';
import { edgeField, readingField, takeField, windowField } from './judge';
import { SectionDrawing } from './section';
import { peakWords } from './sentences';
import { changeReadings, complaintsAt, currentTake, judged, settleChange } from './store';
import { useWidth } from './width';

/** Room for the names of the rows, and at the right of the last window, px; both narrower where there is little. */
const NAMES_PX = { wide: 124, narrow: 86 };
const RIGHT_PX = 14;
const LEAST_COLUMN_PX = 74;
const NARROW_PX = 700;

export function ReadingSheet({ draft, figure, words }: { draft: ReadingsDraft; figure: Figure | null; words: string }) {
  const box = useRef<HTMLDivElement>(null);
  const outer = useWidth(box);
  const [editing, setEditing] = useState(false);
  useEffect(() => {
    const fields = box.current!;
    fields.addEventListener('keydown', moveByKeys);
    return () => fields.removeEventListener('keydown', moveByKeys);
  }, []);
  const count = draft.windows.length;
  const names = outer < NARROW_PX ? NAMES_PX.narrow : NAMES_PX.wide;
  const width = Math.max(outer, names + RIGHT_PX + count * LEAST_COLUMN_PX);
  const column = (width - names - RIGHT_PX) / count;
  const windowComplaints = [
    ...complaintsAt('windows').map((message) => ({ where: '', message })),
    ...draft.windows.flatMap((_, i) => complaintsOfWindow(i).map((message) => ({ where: `Window ${i + 1}`, message }))),
  ];
  const columns = `${names}px repeat(${count}, ${column}px)`;
  return (
    <section class="reading-sheet" aria-label="Readings">
      <div class="scrolls" ref={box}>
        {outer === 0 ? null : (
          <div class="sheet-inner" style={{ width: `${width}px` }}>
            <SectionDrawing
              glass={draft.glass}
              figure={figure}
              openings={draft.windows.map((window) => openingOf(window, draft))}
              columnXPx={draft.windows.map((_, i) => names + column * (i + 0.5))}
              widthPx={width}
              axisXPx={names}
              rimXPx={width - RIGHT_PX}
              unit={draft.unit}
              words={words}
            />
            <div class="row heads" style={{ gridTemplateColumns: columns }}>
              <button type="button" class="small" aria-pressed={editing} onClick={() => setEditing(!editing)}>
                {editing ? 'Edges done' : 'Edit edges'}
              </button>
              {draft.windows.map((window, i) =>
                editing ? (
                  <EdgeCells
                    key={i}
                    draft={draft}
                    window={window}
                    index={i}
                    saidOfWindows={windowComplaints.length > 0}
                  />
                ) : (
                  <p key={i} class={`window-name numeric ${complaintsOfWindow(i).length > 0 ? 'wrong' : ''}`}>
                    {windowWords(window, draft.unit)}
                  </p>
                ),
              )}
            </div>
            <RowComplaints id="windows" list={windowComplaints} unit={draft.unit} />
            {draft.takes.map((take, row) => (
              <TakeRow key={take.id} draft={draft} take={take} number={row + 1} columns={columns} />
            ))}
          </div>
        )}
      </div>
    </section>
  );
}

function complaintsOfWindow(i: number): string[] {
  return [windowField(i), edgeField(i, 'from'), edgeField(i, 'to'), edgeField(i, 'aimedAt')].flatMap((field) => [
    ...complaintsAt(field),
  ]);
}

function openingOf({ from, to }: WindowDraft, { unit }: ReadingsDraft): { fromMm: number; toMm: number } | null {
  const [fromMm, toMm] = [understood(from, EDGE[unit]), understood(to, EDGE[unit])];
  return fromMm === null || toMm === null || !(toMm > fromMm) ? null : { fromMm, toMm };
}

/** "30–45" over its fields, short enough to stand there; "30 to 45 mm" where it is read out. */
function windowWords({ from, to }: WindowDraft, unit: LengthUnit): string {
  const short = (text: string): string => {
    const mm = understood(text, EDGE[unit]);
    return mm === null ? '?' : shown(mm, { ...EDGE[unit], digits: unit === 'mm' ? 1 : 2 });
  };
  return `${short(from)}–${short(to)}`;
}

function spokenWindow({ from, to }: WindowDraft, unit: string): string {
  return `${from || 'nothing'} to ${to || 'nothing'} ${unit}`;
}

function EdgeCells(props: { draft: ReadingsDraft; window: WindowDraft; index: number; saidOfWindows: boolean }) {
  const { draft, window, index, saidOfWindows } = props;
  const wrong = complaintsAt(windowField(index)).length > 0;
  const edge = (side: 'from' | 'to') => (
    <input
      type="text"
      inputMode="decimal"
      autocomplete="off"
      aria-label={`Window ${index + 1} ${side}, ${draft.unit}`}
      aria-invalid={wrong || complaintsAt(edgeField(index, side)).length > 0}
      aria-describedby={saidOfWindows ? 'windows-wrong' : undefined}
      value={window[side]}
      data-column={index}
      data-row={side === 'from' ? -2 : -1}
      onInput={(event) => {
        const text = event.currentTarget.value;
        changeReadings((now) => withEdge(now, index, side, text), edgeField(index, side));
      }}
      onBlur={settleChange}
    />
  );
  return (
    <div class="edges">
      {edge('from')}
      {edge('to')}
    </div>
  );
}

function TakeRow(props: { draft: ReadingsDraft; take: TakeDraft; number: number; columns: string }) {
  const { draft, take, number, columns } = props;
  const begun = judged.value.begun.find(({ id }) => id === take.id);
  const list = [
    ...(['diameter', 'markOnTester', 'at'] as const).flatMap((key) =>
      complaintsAt(takeField(take.id, key)).map((message) => ({ where: `Take ${number}`, message })),
    ),
    ...draft.windows.flatMap((window, i) =>
      complaintsAt(readingField(take.id, i)).map((message) => ({ where: spokenWindow(window, draft.unit), message })),
    ),
  ];
  return (
    <>
      <div class="row" style={{ gridTemplateColumns: columns }}>
        <button
          type="button"
          class="small take"
          aria-pressed={currentTake.value === take.id}
          onClick={() => (currentTake.value = take.id)}
        >
          Take {number}
          <small>{begun ? `${begun.missing} to go` : `along ${take.diameter || '?'}°, ${draft.unit}`}</small>
        </button>
        {draft.windows.map((window, i) => {
          const field = readingField(take.id, i);
          return (
            <input
              key={i}
              type="text"
              inputMode="decimal"
              autocomplete="off"
              class="reading"
              aria-label={`Take ${number}, ${spokenWindow(window, draft.unit)}`}
              aria-invalid={complaintsAt(field).length > 0}
              aria-describedby={list.length > 0 ? `take-${take.id}-wrong` : undefined}
              value={take.readings[i] ?? ''}
              data-column={i}
              data-row={number}
              onFocus={() => (currentTake.value = take.id)}
              onInput={(event) => {
                const text = event.currentTarget.value;
                changeReadings((now) => withReading(now, take.id, i, text), field);
              }}
              onBlur={settleChange}
            />
          );
        })}
      </div>
      <RowComplaints id={`take-${take.id}`} list={list} unit={draft.unit} />
    </>
  );
}

function RowComplaints(props: { id: string; list: { where: string; message: string }[]; unit: ReadingsDraft['unit'] }) {
  if (props.list.length === 0) return null;
  return (
    <ul id={`${props.id}-wrong`} class="row-wrong">
      {props.list.map(({ where, message }) => (
        <li key={where + message} class="complaint">
          {where === '' ? '' : <strong>{where}: </strong>}
          {inUnit(message, props.unit)}
        </li>
      ))}
    </ul>
  );
}

/** Enter goes on to the next reading and from the last to the next take; up and down stay at the window. */
function moveByKeys(event: KeyboardEvent): void {
  const at = event.target as HTMLElement;
  if (!(at instanceof HTMLInputElement) || at.dataset.column === undefined) return;
  const [column, row] = [Number(at.dataset.column), Number(at.dataset.row)];
  const to = (c: number, r: number): HTMLInputElement | null =>
    (event.currentTarget as HTMLElement).querySelector(`input[data-column="${c}"][data-row="${r}"]`);
  const ways: Record<string, () => HTMLInputElement | null> = {
    Enter: () => to(column + 1, row) ?? to(0, row + 1),
    ArrowDown: () => to(column, row + 1),
    ArrowUp: () => to(column, row - 1),
  };
  const next = ways[event.key]?.();
  if (next === undefined) return;
  event.preventDefault();
  next?.focus();
  next?.select();
}

/** What the drawing shows, for who cannot see it. */
export function sectionWords(draft: ReadingsDraft, figure: Figure | null): string {
  const mask = `${plural(draft.windows.length, 'window')} of the mask lie on it`;
  const glass = `The glass cut open from its axis to its rim at ${lengthWords(draft.glass.diameterMm / 2, draft.unit)}; ${mask}.`;
  if (figure === null) return glass;
  const best = figure.surfaceNm.reduce((at, h, i) => (h > figure.surfaceNm[at]! ? i : at), 0);
  return `${glass} Its surface stands highest by ${peakWords(figure, figure.surfaceNm[best]!, figure.radiusMm[best]!, draft.unit)}.`;
}
