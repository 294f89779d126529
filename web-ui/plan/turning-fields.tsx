import { complaintsOf, SelectField } from './choices';
import { clockingOf, type Draft, type StintDraft } from './draft';
import { DEGREES, RATIO, STROKES, TURNS } from './number-entry';
import { ComplaintList, NumberField } from './number-field';
import { gearedClockWords } from './plan-words';
import { StintNumber } from './stint-number';
import { changeShown, light } from './store';

const TURNINGS: readonly (readonly [StintDraft['clocking'], string])[] = [
  ['none', 'Keeps its orientation'],
  ['steps', 'Is clocked every few strokes'],
  ['steady', 'Turns steadily'],
  ['byHand', 'Is turned by hand, at a rest'],
];

/** How the lap turns about its own axis in one stint. */
export function TurningFields({ draft, stint, number }: { draft: Draft; stint: StintDraft; number: number }) {
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
