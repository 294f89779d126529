/** What every verb of the command line is made of. Reading files, printing and the clock come in from outside, so tests run verbs in their own process. */
import { type ParseArgsConfig, parseArgs } from 'node:util';
import type { Complaint } from '../../planner/program/types';

export type VerbOptions = NonNullable<ParseArgsConfig['options']>;

export interface Surroundings {
  out(text: string): void;
  err(text: string): void;
  /** Somebody watches: a line of progress makes sense. */
  terminal: boolean;
  environment: NodeJS.ProcessEnv;
  /** Calls `stop` when the person asks the process to end; returns how to call that off. */
  onInterrupt(stop: () => void): () => void;
  /** Tells every line that a person types until called off; absent where nobody can type. */
  onLine?: (listener: (line: string) => void) => () => void;
}

export interface Call extends Surroundings {
  positionals: string[];
  /** Values of options that take one, and `true` for those that take none. */
  values: Record<string, string | boolean | undefined>;
  json: boolean;
}

export interface Verb {
  /** One line for the list of verbs. */
  summary: string;
  /** What follows the verb: "PROGRAM [--shelf FILE]". */
  usage: string;
  /** Explains arguments and options, a line each. */
  help: readonly string[];
  options: VerbOptions;
  /** How many arguments without dashes: least and most. */
  positionals: readonly [number, number];
  /** Returns the exit code: 0, or 2 where the machine did not do what was asked. */
  run(call: Call): Promise<number>;
}

/** Bad input: the person can put it right. Exit code 1. */
export class InputError extends Error {
  override readonly name = 'InputError';
  constructor(readonly complaints: readonly Complaint[]) {
    super(complaints.map(complaintLine).join('\n'));
  }
}

/** The machine cannot: no disc, no stand. Exit code 2. */
export class MachineError extends Error {
  override readonly name = 'MachineError';
}

/** `file:line:column field message`, so that editors and terminals find the place. */
export function complaintLine({ file, line, column, field, message }: Complaint): string {
  return [`${file}:${line}:${column}`, field, message].filter((part) => part !== '').join(' ');
}

/** A complaint about how the command was written. */
export function usageComplaint(message: string): InputError {
  return new InputError([{ file: 'wholeturn', line: 1, column: 1, field: '', message }]);
}

/** Reads the words after the verb. Throws InputError. */
export function readCall(verb: Verb, args: readonly string[], surroundings: Surroundings): Call {
  const options: VerbOptions = { ...verb.options, json: { type: 'boolean' } };
  try {
    const { values, positionals } = parseArgs({ args: [...args], options, allowPositionals: true });
    const [least, most] = verb.positionals;
    if (positionals.length < least || positionals.length > most)
      throw new Error(positionals.length < least ? 'Something is missing.' : `"${positionals[most]}" is too much.`);
    const single = values as Record<string, string | boolean | undefined>;
    return { ...surroundings, positionals, values: single, json: single.json === true };
  } catch (error) {
    throw usageComplaint(`${(error as Error).message} Usage: wholeturn ${verb.usage}`);
  }
}
