import type { ComponentChildren } from 'preact';
import { meanPressure } from '../../planner/removal/face';
import type { Shelf } from '../../planner/shelf/types';
import { unit as lengthChoice } from '../settings';
import { plural } from '../words';
import type { FieldName } from './complaints';
import { clockingOf, type Draft, type RepeatDraft, type StintDraft } from './draft';
import { changeTimes } from './edits';
import {
  A_MINUTE,
  DEGREES,
  lengthUnit,
  NEWTON,
  RATIO,
  RPM,
  type ShownUnit,
  STROKES,
  TIMES,
  TURNS,
} from './number-entry';
import { ComplaintList, NumberField } from './number-field';
import { gearedClockWords, gearedRateWords } from './plan-words';
import { change, changeDraft, changeShown, complaints, light } from './store';

/** Complaints of one field, of the stint with that number or of the whole program. */
function complaintsOf(field: FieldName, stint: number | null) {
  return complaints.value.filter((each) => each.field === field && (each.stint === null || each.stint === stint));
}

type NumberKey = {
  [K in keyof StintDraft]: StintDraft[K] extends number ? K : never;
}[keyof StintDraft];

/** A number of the stint that is looked at. */
function StintNumber(props: {
  of: StintDraft;
  number: number;
  name: NumberKey;
  label: string;
  unit: ShownUnit;
  least: number;
  most: number;
  slide?: [number, number];
  field?: FieldName;
  hint?: string | null;
}) {
  const { of, number, name, field, ...rest } = props;
  return (
    <NumberField
      {...rest}
      value={of[name] as number}
      onChange={(value, gesture) => changeShown({ [name]: value }, gesture)}
      complaints={field ? complaintsOf(field, number) : []}
    />
  );
}

function Choice<T extends string>(props: {
  legend: string;
  options: readonly (readonly [T, string])[];
  value: T;
  onChoose: (value: T) => void;
}) {
  return (
    <fieldset class="choice">
      <legend>{props.legend}</legend>
      {props.options.map(([value, words]) => (
        <label key={value}>
          <input
            type="radio"
            name={props.legend}
            checked={props.value === value}
            onChange={() => props.onChoose(value)}
          />
          <span>{words}</span>
        </label>
      ))}
    </fieldset>
  );
}

export function SelectField(props: {
  label: string;
  value: string;
  options: readonly (readonly [string, string])[];
  onChoose: (value: string) => void;
  children?: ComponentChildren;
}) {
  return (
    <div class="field">
      <label>
        {props.label}
        <select value={props.value} onChange={(event) => props.onChoose(event.currentTarget.value)}>
          {props.options.map(([value, words]) => (
            <option key={value} value={value}>
              {words}
            </option>
          ))}
        </select>
      </label>
      <div class="more">{props.children}</div>
    </div>
  );
}

/** The stroke of one stint: its place and shape, how long and how fast, its nudge, how the lap turns. */
export function StintFields({ draft, stint, number }: { draft: Draft; stint: StintDraft; number: number }) {
  return (
    <>
      <StrokeFields draft={draft} stint={stint} number={number} />
      <TurningFields draft={draft} stint={stint} number={number} />
    </>
  );
}

function StrokeFields({ draft, stint, number }: { draft: Draft; stint: StintDraft; number: number }) {
  const length = lengthUnit(lengthChoice.value ?? 'mm');
  const radius = draft.glass.diameterMm / 2;
  const least = length.step * length.per;
  const own = { of: stint, number };
  const ellipse = stint.shape === 'ellipse';
  const geared = light.value?.geared[number];
  return (
    <div class="group">
      <StintNumber {...own} name="settingMm" label="Setting" field="at" unit={length} least={0} most={radius} />
      <StintNumber
        {...own}
        name="lengthMm"
        label="Length"
        field="length"
        unit={length}
        least={least}
        most={2 * radius}
      />
      <StintNumber
        {...own}
        name="turns"
        label="Turns"
        field="turns"
        unit={TURNS}
        least={1}
        most={20_000}
        slide={[1, Math.max(60, stint.turns)]}
      />
      <StintNumber
        {...own}
        name="strokesPerMinute"
        label="Strokes, out and back"
        field="rate"
        unit={A_MINUTE}
        least={0.5}
        most={600}
        slide={[5, 120]}
        hint={geared ? gearedRateWords(geared, draft.turntableRpm, stint.strokesPerMinute) : null}
      />
      <Choice
        legend="Shape"
        options={[
          ['straight', 'Straight'],
          ['ellipse', 'Elliptical'],
        ]}
        value={stint.shape}
        onChoose={(shape) => changeShown({ shape })}
      />
      {ellipse ? (
        <>
          <StintNumber {...own} name="widthMm" label="Width" field="width" unit={length} least={least} most={radius} />
          <Choice
            legend="Sense, seen from above"
            options={[
              ['1', 'Anticlockwise'],
              ['-1', 'Clockwise'],
            ]}
            value={String(stint.sense) as '1' | '-1'}
            onChoose={(sense) => changeShown({ sense: sense === '1' ? 1 : -1 })}
          />
        </>
      ) : null}
      <NudgeFields stint={stint} number={number} length={length} radius={radius} />
    </div>
  );
}

function NudgeFields(props: { stint: StintDraft; number: number; length: ShownUnit; radius: number }) {
  const { stint, number, length, radius } = props;
  return (
    <>
      <fieldset class="choice">
        <legend>Nudge</legend>
        <label>
          <input
            type="checkbox"
            checked={stint.nudged}
            onChange={(event) => changeShown({ nudged: event.currentTarget.checked })}
          />
          <span>Set off the far end</span>
        </label>
      </fieldset>
      {stint.nudged ? (
        <>
          <NumberField
            label="Nudge inward by"
            value={stint.nudgeByMm}
            unit={length}
            least={-radius / 2}
            most={radius / 2}
            slide={[-radius / 5, radius / 5]}
            hint={stint.nudgeByMm < 0 ? 'outward' : null}
            // None is no nudge: the slider passes over it.
            onChange={(value, gesture) => value !== 0 && changeShown({ nudgeByMm: value }, gesture)}
            complaints={complaintsOf('nudge', number)}
          />
          <StintNumber
            of={stint}
            number={number}
            name="nudgeEvery"
            label="One nudge in"
            unit={STROKES}
            least={1}
            most={100_000}
            slide={[1, 20]}
          />
        </>
      ) : null}
    </>
  );
}

const TURNINGS: readonly (readonly [StintDraft['clocking'], string])[] = [
  ['none', 'Keeps its orientation'],
  ['steps', 'Is clocked every few strokes'],
  ['steady', 'Turns steadily'],
  ['byHand', 'Is turned by hand, at a rest'],
];

function TurningFields({ draft, stint, number }: { draft: Draft; stint: StintDraft; number: number }) {
  const { kind } = clockingOf(stint, draft.lap);
  const geared = light.value?.geared[number];
  const own = { of: stint, number };
  const hint = geared ? gearedClockWords(geared, kind) : null;
  const free = draft.lap.rotation === 'free';
  return (
    <div class="group">
      <SelectField
        label="The lap"
        value={kind}
        options={free ? [['free', 'Turns as friction will have it']] : TURNINGS}
        onChoose={(clocking) => changeShown({ clocking: clocking as StintDraft['clocking'] })}
      >
        {free ? <p class="soft">This lap hangs free; choose a driven one to clock it.</p> : null}
        {kind === 'none' ? <ComplaintList complaints={complaintsOf('clock', number)} /> : null}
      </SelectField>
      {kind === 'steps' ? (
        <>
          <NumberField
            label="Clock by about"
            value={stint.clockByDeg}
            unit={DEGREES}
            least={-359}
            most={359}
            slide={[-180, 180]}
            hint={hint}
            onChange={(value, gesture) => value !== 0 && changeShown({ clockByDeg: value }, gesture)}
            complaints={complaintsOf('clock', number)}
          />
          <StintNumber
            {...own}
            name="clockEvery"
            label="One clocking in"
            unit={STROKES}
            least={1}
            most={100_000}
            slide={[1, 20]}
          />
        </>
      ) : null}
      {kind === 'steady' ? (
        <StintNumber
          {...own}
          name="steadyTurns"
          label="Lap turns a turn of the glass"
          field="clock"
          unit={RATIO}
          least={-50}
          most={50}
          slide={[-3, 3]}
          hint={hint}
        />
      ) : null}
      {kind === 'byHand' ? (
        <>
          <StintNumber
            {...own}
            name="handEveryTurns"
            label="Turn it after every"
            field="clock"
            unit={TURNS}
            least={1}
            most={20_000}
            slide={[1, 20]}
          />
          <NumberField
            label="Turn it by"
            value={stint.handByDeg}
            unit={DEGREES}
            least={-359}
            most={359}
            slide={[-180, 180]}
            onChange={(value, gesture) => value !== 0 && changeShown({ handByDeg: value }, gesture)}
          />
        </>
      ) : null}
    </div>
  );
}

export function RepeatFields({ repeat }: { repeat: RepeatDraft }) {
  const set = (times: number, gesture: string): void =>
    change(({ draft, selected }) => ({ draft: changeTimes(draft, repeat.id, times), selected }), gesture);
  return (
    <div class="group">
      <NumberField
        label="Work this group"
        value={repeat.times}
        unit={TIMES}
        least={1}
        most={20_000}
        slide={[1, Math.max(20, repeat.times)]}
        onChange={set}
        hint="The drawing shows its first stint; choose a stint to change it."
        complaints={complaintsOf('turns', null)}
      />
    </div>
  );
}

/** What all stints have in common and what bears on the depth: lap, load, turntable. */
export function SharedFields({ draft, shelf }: { draft: Draft; shelf: Shelf }) {
  const { lap } = draft;
  const { pressurePa, pressurePsi } = meanPressure(lap);
  const rests = lap.load.lapWeightN + lap.load.armWeightN;
  return (
    <div class="group">
      <SelectField
        label="Lap"
        value={lap.id}
        options={titles(shelf.laps, lap)}
        onChoose={(id) => shelf.laps[id] && changeDraft({ lap: shelf.laps[id] })}
      >
        <ComplaintList complaints={complaintsOf('lap', null)} />
      </SelectField>
      <NumberField
        label="Load put on the lap"
        value={lap.load.addedN}
        unit={NEWTON}
        least={rests > 0 ? 0 : 0.1}
        most={5000}
        slide={[0, Math.max(20, lap.load.addedN)]}
        hint={`with lap and arm ${(rests + lap.load.addedN).toFixed(1)} N: ${(pressurePa / 1000).toFixed(2)} kPa (${pressurePsi.toFixed(2)} psi)`}
        onChange={(addedN, gesture) => changeDraft({ lap: { ...lap, load: { ...lap.load, addedN } } }, gesture)}
        complaints={complaintsOf('load', null)}
      />
      <NumberField
        label="Turntable"
        value={draft.turntableRpm}
        unit={RPM}
        least={0.05}
        most={60}
        slide={[0.1, 6]}
        onChange={(turntableRpm, gesture) => changeDraft({ turntableRpm }, gesture)}
        complaints={complaintsOf('turntable', null)}
      />
    </div>
  );
}

/** What the program is for. */
export function PurposeFields({ draft, shelf }: { draft: Draft; shelf: Shelf }) {
  const { glass, slurry } = draft;
  return (
    <div class="group">
      <SelectField
        label="Glass"
        value={glass.id}
        options={titles(shelf.glasses, glass)}
        onChoose={(id) => shelf.glasses[id] && changeDraft({ glass: shelf.glasses[id] })}
      >
        <ComplaintList complaints={complaintsOf('glass', null)} />
      </SelectField>
      <SelectField
        label="Slurry"
        value={slurry?.id ?? ''}
        options={[['', 'not said'], ...titles(shelf.slurries, slurry)]}
        onChoose={(id) => changeDraft({ slurry: shelf.slurries[id] ?? null })}
      >
        {slurry ? <p class="soft">stays wet {plural(slurry.wetMinutes, 'minute')}</p> : null}
      </SelectField>
    </div>
  );
}

/** Names of what lies on the shelf, and of what is in use though it does not lie there. */
function titles(
  onShelf: Record<string, { title: string }>,
  used: { id: string; title: string } | null,
): [string, string][] {
  const list = Object.entries(onShelf).map(([id, { title }]): [string, string] => [id, title]);
  return used === null || Object.hasOwn(onShelf, used.id) ? list : [[used.id, used.title], ...list];
}
