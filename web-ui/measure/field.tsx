import { useId } from 'preact/hooks';
import { inUnit } from '../plan/plan-words';
import { unit as lengthChoice } from '../settings';
import { complaintsAt, settleChange } from './store';

/** What is wrong with a field, in the person's unit. */
export function Complaints({ of }: { of: string }) {
  return <ComplaintWords words={complaintsAt(of)} />;
}

export function ComplaintWords({ words }: { words: readonly string[] }) {
  return (
    <>
      {words.map((each) => (
        <p class="complaint" key={each}>
          {inUnit(each, lengthChoice.value ?? 'mm')}
        </p>
      ))}
    </>
  );
}

/** A line to type a number into; what it means is judged elsewhere, and what is wrong is said beside it. */
export function TextEntry(props: {
  label: string;
  text: string;
  unit: string;
  /** By which complaints find it. */
  field: string;
  hint?: string;
  /** Complaints from elsewhere than the measurement. */
  wrong?: string | null;
  onText: (text: string, gesture: string) => void;
}) {
  const { label, text, unit, field, hint, onText } = props;
  const id = useId();
  const wrong = [...complaintsAt(field), ...(props.wrong ? [props.wrong] : [])];
  return (
    <div class="field">
      <label for={id}>{label}</label>
      <div class="line">
        <input
          id={id}
          type="text"
          inputMode="decimal"
          autocomplete="off"
          value={text}
          aria-invalid={wrong.length > 0}
          aria-describedby={`${id}-more`}
          onInput={(event) => onText(event.currentTarget.value, field)}
          onBlur={settleChange}
        />
        <span class="unit">{unit}</span>
      </div>
      <div id={`${id}-more`} class="more">
        <ComplaintWords words={wrong} />
        {hint ? <p class="soft">{hint}</p> : null}
      </div>
    </div>
  );
}
