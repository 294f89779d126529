/** What is to be said of the test beside its readings: glass, source, mask, rest, and the particulars of a take. */
import { useState } from 'preact/hooks';
import { restOfMeasurement } from '../../planner/figure/rest';
import type { Shelf } from '../../planner/shelf/types';
import { Choice, SelectField } from '../plan/choices';
import { understood } from '../plan/number-entry';
import {
  anotherPass,
  diametersOf,
  EDGE,
  equalWindows,
  MINUTES,
  MOST_WINDOWS,
  oneDiameter,
  type ReadingsDraft,
  type TakeDraft,
  threeDiameters,
  withoutTake,
  withTake,
  withWindows,
} from './draft';
import { Complaints, TextEntry } from './field';
import { takeField } from './judge';
import { changeReadings, currentTake, judged } from './store';

const set = (part: Partial<ReadingsDraft>, gesture: string | null = null): void =>
  changeReadings((now) => ({ ...now, ...part }), gesture);

/** What is written of the whole test in a line of its own. */
type Written = 'repeatability' | 'markOnStand' | 'detail' | 'sinceWorkHours' | 'glassC' | 'roomC';

/** An entry of the readings; complaints find it by the same name unless it is called otherwise in a file. */
function ReadingsEntry(props: {
  draft: ReadingsDraft;
  of: Written;
  label: string;
  unit: string;
  field?: string;
  hint?: string;
}) {
  const { draft, of, field = of, ...rest } = props;
  return (
    <TextEntry {...rest} text={draft[of]} field={field} onText={(text, gesture) => set({ [of]: text }, gesture)} />
  );
}

export function TakeFields({ draft }: { draft: ReadingsDraft }) {
  const index = Math.max(
    0,
    draft.takes.findIndex(({ id }) => id === currentTake.value),
  );
  const take = draft.takes[index]!;
  const change = (part: Partial<TakeDraft>, gesture: string): void =>
    changeReadings((now) => withTake(now, take.id, part), gesture);
  const several = diametersOf(draft).length;
  return (
    <section class="fields" aria-label={`Take ${index + 1}`}>
      <div class="tools">
        <button type="button" class="small" onClick={() => changeReadings(anotherPass)}>
          {several > 1 ? `Another pass over ${several} diameters` : 'Another take'}
        </button>
        {several > 1 ? (
          <button type="button" class="small" onClick={() => changeReadings(oneDiameter)}>
            One diameter only
          </button>
        ) : (
          <button type="button" class="small" onClick={() => changeReadings(threeDiameters)}>
            Three diameters at 60°
          </button>
        )}
        <button
          type="button"
          class="small"
          disabled={draft.takes.length === 1}
          onClick={() => {
            changeReadings((now) => withoutTake(now, take.id));
            currentTake.value = (draft.takes[index - 1] ?? draft.takes[index + 1])?.id ?? take.id;
          }}
        >
          Remove take {index + 1}
        </button>
      </div>
      <div class="group">
        <TextEntry
          label={`Take ${index + 1}: its line of windows from the glass's mark`}
          text={take.diameter}
          unit="°"
          field={takeField(take.id, 'diameter')}
          onText={(diameter, gesture) => change({ diameter }, gesture)}
        />
        <TextEntry
          label="Where that mark stood on the tester"
          text={take.markOnTester}
          unit="°"
          field={takeField(take.id, 'markOnTester')}
          hint="Turn the glass under the mask, not the mask: only then is astigmatism of the glass told from that of the tester."
          onText={(markOnTester, gesture) => change({ markOnTester }, gesture)}
        />
        <div class="with-button">
          <TextEntry
            label="Read at, on any clock"
            text={take.at}
            unit="min"
            field={takeField(take.id, 'at')}
            onText={(at, gesture) => change({ at }, gesture)}
          />
          <button type="button" class="small" onClick={() => change({ at: String(minutesNow(draft)) }, 'now')}>
            Now
          </button>
        </div>
      </div>
    </section>
  );
}

/** Minutes since midnight; past midnight they go on counting. */
function minutesNow({ takes }: ReadingsDraft): number {
  const now = new Date();
  const minutes = 60 * now.getHours() + now.getMinutes();
  const latest = Math.max(0, ...takes.map(({ at }) => understood(at, MINUTES) ?? 0));
  return latest > minutes && latest < 2 * 1440 ? minutes + 1440 : minutes;
}

export function TestFields({ draft, shelf }: { draft: ReadingsDraft; shelf: Shelf }) {
  const { glass } = draft;
  const glasses = Object.entries(shelf.glasses).map(([id, { title }]): [string, string] => [id, title]);
  if (!Object.hasOwn(shelf.glasses, glass.id)) glasses.unshift([glass.id, glass.title]);
  return (
    <section class="fields" aria-label="The test">
      <h2>The test</h2>
      <div class="group">
        <SelectField
          label="Glass"
          value={glass.id}
          options={glasses}
          onChoose={(id) => {
            const next = shelf.glasses[id];
            if (next) set({ glass: next });
          }}
        >
          <p class="soft">
            Yours is not there? Glasses stand in the shelf file: write it there, and start the host with --shelf and
            that file.
          </p>
          <Complaints of="glass" />
        </SelectField>
        <div>
          <Choice
            legend="The source"
            options={[
              ['moving', 'moves with the knife'],
              ['fixed', 'stands still'],
            ]}
            value={draft.source ?? ('' as 'moving')}
            onChoose={(source) => set({ source })}
          />
          <Complaints of="source" />
        </div>
        <ReadingsEntry
          draft={draft}
          of="repeatability"
          label="A reading at 70 % of the radius repeats to"
          unit={draft.unit}
          hint="Empty: from the scatter of the takes, else assumed and said."
        />
        <ReadingsEntry
          draft={draft}
          of="markOnStand"
          label="The glass's mark stood on the turntable at"
          unit="°"
          hint="So that astigmatism is told where it lay on the stand."
        />
      </div>
      <label class="title">
        Title
        <input
          type="text"
          data-words
          maxLength={200}
          value={draft.title}
          onInput={(event) => set({ title: event.currentTarget.value }, 'title')}
        />
      </label>
    </section>
  );
}

export function MaskFields({ draft }: { draft: ReadingsDraft }) {
  const { glass, unit, windows } = draft;
  const usual = equalWindows(glass, unit, 1)[0]!;
  const [typed, setTyped] = useState<{ count?: string; from?: string; to?: string }>({});
  const count = typed.count ?? String(windows.length);
  const from = typed.from ?? windows[0]?.from ?? usual.from;
  const to = typed.to ?? windows[windows.length - 1]?.to ?? usual.to;
  const number = Number(count);
  const [fromMm, toMm] = [understood(from, EDGE[unit]), understood(to, EDGE[unit])];
  const wrongCount =
    Number.isInteger(number) && number >= 3 && number <= MOST_WINDOWS
      ? null
      : `A whole number from 3 to ${MOST_WINDOWS}; eight or more show zones.`;
  const wrongEnds = fromMm !== null && toMm !== null && toMm > fromMm ? null : 'The outer end must be the larger one.';
  return (
    <section class="fields" aria-label="The mask">
      <h2>The mask</h2>
      <div class="group">
        <TextEntry
          label="Windows of equal width"
          text={count}
          unit=""
          field="count"
          wrong={wrongCount}
          onText={(text) => setTyped({ ...typed, count: text })}
        />
        <TextEntry
          label="from"
          text={from}
          unit={unit}
          field="mask from"
          onText={(text) => setTyped({ ...typed, from: text })}
        />
        <TextEntry
          label="to"
          text={to}
          unit={unit}
          field="mask to"
          wrong={wrongEnds}
          onText={(text) => setTyped({ ...typed, to: text })}
        />
        <ReadingsEntry
          draft={draft}
          of="detail"
          label="The narrowest zone that must be seen"
          unit={unit}
          hint="Empty: nothing is asked of the mask."
        />
      </div>
      <div class="tools">
        <button
          type="button"
          class="small"
          disabled={wrongCount !== null || wrongEnds !== null}
          onClick={() => {
            changeReadings((now) => withWindows(now, equalWindows(now.glass, now.unit, number, fromMm!, toMm!)));
            setTyped({});
          }}
        >
          Lay out {wrongCount === null ? number : ''} equal windows
        </button>
      </div>
    </section>
  );
}

export function RestFields({ draft }: { draft: ReadingsDraft }) {
  const { measurement } = judged.value;
  const verdict = measurement?.kind === 'knife-edge' ? restOfMeasurement(measurement) : null;
  return (
    <section class="fields" aria-label="Rest">
      <h2>Has the glass come to rest?</h2>
      <div class="group">
        <ReadingsEntry draft={draft} of="sinceWorkHours" label="Since the last stroke" unit="h" field="sinceWork" />
        <ReadingsEntry draft={draft} of="glassC" label="The glass" unit="°C" />
        <ReadingsEntry draft={draft} of="roomC" label="The room" unit="°C" />
      </div>
      <p class={verdict?.state === 'wait' ? 'note' : 'soft'}>
        {verdict?.words ?? 'A glass that is still warm from work is bulged: what is read then is not its figure.'}
      </p>
    </section>
  );
}
