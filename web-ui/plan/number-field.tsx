import { useEffect, useId, useRef, useState } from 'preact/hooks';
import { unit as lengthChoice } from '../settings';
import type { PlanComplaint } from './complaints';
import { leftWords, numberTrouble, type ShownUnit, shown, tidy, understood } from './number-entry';
import { inUnit } from './plan-words';
import { changeDraft, changeShown, settleChange } from './store';

export interface NumberFieldProps {
  label: string;
  /** In the value's own unit: mm, degrees ... */
  value: number;
  unit: ShownUnit;
  least: number;
  most: number;
  /** The slider's ends, where the whole range is too long to pull through. */
  slide?: [from: number, to: number];
  onChange: (value: number, gesture: string) => void;
  /** What becomes of the number. */
  hint?: string | null;
  complaints?: readonly PlanComplaint[];
}

/** A slider and a number that say the same; both by pointer and by keyboard. What cannot be taken is said beside it and left out. */
export function NumberField(props: NumberFieldProps) {
  const { label, value, unit, least, most, onChange } = props;
  const [typed, setTyped] = useState<string | null>(null);
  const [left, setLeft] = useState<string | null>(null);
  // What stood there before a person began to type: what is not taken in the end leaves it as it was.
  const before = useRef(value);
  const id = useId();
  const trouble = typed === null ? null : numberTrouble(understood(typed, unit), unit, least, most);
  const said = trouble ?? (value === before.current ? left : null);
  const [from, to] = props.slide ?? [least, most];
  const take = (next: number): void => onChange(Math.min(most, Math.max(least, tidy(next, unit))), label);
  useEffect(() => {
    setTyped(null);
    setLeft(null);
  }, [unit]);

  const type = (text: string): void => {
    if (typed === null) before.current = value;
    setTyped(text);
    setLeft(null);
    const read = understood(text, unit);
    if (read !== null && numberTrouble(read, unit, least, most) === null) onChange(read, label);
  };
  const leave = (): void => {
    if (typed !== null && trouble !== null) {
      if (value !== before.current) onChange(before.current, label);
      setLeft(leftWords(typed, trouble, before.current, unit));
    }
    setTyped(null);
    settleChange();
  };
  const stepBy = (steps: number): void => {
    setTyped(null);
    setLeft(null);
    take((Math.round(value / unit.per / unit.step) + steps) * unit.step * unit.per);
  };
  return (
    <div class="field">
      <label for={id}>{label}</label>
      <div class="entry">
        <input
          type="range"
          aria-label={`${label}, slider`}
          aria-valuetext={`${shown(value, unit)} ${unit.word}`}
          min={from / unit.per}
          max={to / unit.per}
          step={unit.step}
          value={value / unit.per}
          onInput={(event) => {
            setTyped(null);
            setLeft(null);
            take(event.currentTarget.valueAsNumber * unit.per);
          }}
          onChange={settleChange}
        />
        <input
          id={id}
          type="text"
          inputMode="decimal"
          autocomplete="off"
          value={typed ?? shown(value, unit)}
          aria-invalid={trouble !== null || (props.complaints?.length ?? 0) > 0}
          aria-describedby={`${id}-more`}
          onInput={(event) => type(event.currentTarget.value)}
          onBlur={leave}
          onKeyDown={(event) => {
            const steps = { ArrowUp: 1, ArrowDown: -1, PageUp: 10, PageDown: -10 }[event.key];
            if (steps === undefined) return;
            event.preventDefault();
            stepBy(event.shiftKey ? 10 * steps : steps);
          }}
        />
        <span class="unit">{unit.word}</span>
      </div>
      <div id={`${id}-more`} class="more">
        {said ? <p class="complaint">{said}</p> : null}
        {props.hint ? <p class="soft numeric">{props.hint}</p> : null}
        <ComplaintList complaints={props.complaints ?? []} />
      </div>
    </div>
  );
}

/** What is wrong, in words, and what would fit as a button. */
export function ComplaintList({ complaints }: { complaints: readonly PlanComplaint[] }) {
  const length = lengthChoice.value ?? 'mm';
  return (
    <>
      {complaints.map(({ message, fits }) => (
        <div class="complaint" key={message}>
          <p>{inUnit(message, length)}</p>
          {fits ? <FitButton fits={fits} /> : null}
        </div>
      ))}
    </>
  );
}

function FitButton({ fits }: { fits: NonNullable<PlanComplaint['fits']> }) {
  return 'turntableRpm' in fits ? (
    <button type="button" class="small" onClick={() => changeDraft({ turntableRpm: fits.turntableRpm })}>
      Take {fits.turntableRpm} rpm
    </button>
  ) : (
    <button type="button" class="small" onClick={() => changeShown({ strokesPerMinute: fits.strokesPerMinute })}>
      Take {fits.strokesPerMinute} a minute
    </button>
  );
}
