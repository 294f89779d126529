import { unit as lengthChoice } from '../settings';
import { Choice, complaintsOf } from './choices';
import type { Draft, RepeatDraft, StintDraft } from './draft';
import { changeTimes } from './edits';
import { A_MINUTE, lengthUnit, type ShownUnit, STROKES, TIMES, TURNS } from './number-entry';
import { NumberField } from './number-field';
import { gearedRateWords } from './plan-words';
import { StintNumber } from './stint-number';
import { change, changeShown, light } from './store';
import { TurningFields } from './turning-fields';

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
