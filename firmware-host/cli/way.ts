/** How a program is walked: with the lap on the glass or in the air, and at which pace. */
import { type Call, usageComplaint } from './verb';

export interface Way {
  /** The lap stays up. */
  air: boolean;
  /** Share of the planned speed. */
  pace: number;
}

export const WAY_OPTIONS = { air: { type: 'boolean' }, pace: { type: 'string' } } as const;
export const WAY_HELP = [
  '--air         an air run: the lap stays up all the way, nothing is taken off; it is marked so wherever it is kept',
  '--pace N      share of the planned speed, above 0 up to 1; 1 otherwise',
] as const;

/** Throws InputError. */
export function wayOf({ values }: Call): Way {
  const pace = values.pace === undefined ? 1 : Number(values.pace);
  if (!(pace > 0 && pace <= 1))
    throw usageComplaint(`--pace is a share of the planned speed, above 0 up to 1, not "${values.pace}".`);
  return { air: values.air === true, pace };
}
