import { complaintsOf } from './choices';
import type { FieldName } from './complaints';
import type { StintDraft } from './draft';
import type { ShownUnit } from './number-entry';
import { NumberField } from './number-field';
import { changeShown } from './store';

type NumberKey = {
  [K in keyof StintDraft]: StintDraft[K] extends number ? K : never;
}[keyof StintDraft];

/** A number of the stint that is looked at. */
export function StintNumber(props: {
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
