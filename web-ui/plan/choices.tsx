import type { ComponentChildren } from 'preact';
import type { FieldName, PlanComplaint } from './complaints';
import { complaints } from './store';

/** Complaints of one field, of the stint with that number or of the whole program. */
export function complaintsOf(field: FieldName, stint: number | null): PlanComplaint[] {
  return complaints.value.filter((each) => each.field === field && (each.stint === null || each.stint === stint));
}

export function Choice<T extends string>(props: {
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
