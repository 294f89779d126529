/** What every verb of the command line is made of. Reading files, printing and the clock come in from outside, so tests run verbs in their own process. */
import { type ParseArgsConfig, parseArgs } from 'node:util';
import type { Complaint } from '../../planner/program/types';
import { nearest } from '../../planner/reading/nearest';

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

/** About how the command was written: there is no file to look into, so a person is only told the words. */
class UsageComplaint implements Complaint {
  readonly file = 'wholeturn';
  readonly line = 1;
  readonly column = 1;
  readonly field = '';
  constructor(readonly message: string) {}
}

/** `file:line:column field message`, so that editors and terminals find the place. */
export function complaintLine(complaint: Complaint): string {
  const { file, line, column, field, message } = complaint;
  if (complaint instanceof UsageComplaint) return message;
  return [`${file}:${line}:${column}`, fieldWords(field), message].filter((part) => part !== '').join(' ');
}

/** "entry 2.1 (do[1].do[0].at)": what stands in a list is counted from 1 by whoever reads the file. */
function fieldWords(field: string): string {
  const entry = /^do\[\d+\](?:\.do\[\d+\])*/.exec(field)?.[0];
  if (entry === undefined) return field;
  const numbers = entry.match(/\d+/g)!.map((index) => Number(index) + 1);
  return `entry ${numbers.join('.')} (${field})`;
}

/** A complaint about how the command was written. */
export function usageComplaint(message: string): InputError {
  return new InputError([new UsageComplaint(message)]);
}

/** Reads the words after the verb. Throws InputError. */
export function readCall(verb: Verb, args: readonly string[], surroundings: Surroundings): Call {
  const options: VerbOptions = { ...verb.options, json: { type: 'boolean' } };
  // Not strict: what is wrong is said in words of our own.
  const { tokens, values, positionals } = parseArgs({
    args: [...args],
    options,
    allowPositionals: true,
    strict: false,
    tokens: true,
  });
  const [least, most] = verb.positionals;
  const wrong =
    tokens.flatMap((token) => (token.kind === 'option' ? (optionTrouble(token, options) ?? []) : []))[0] ??
    (positionals.length < least ? 'Something is missing.' : null) ??
    (positionals.length > most ? `"${positionals[most]}" is too much.` : null);
  if (wrong !== null) throw usageComplaint(`${wrong} Usage: wholeturn ${verb.usage}`);
  const single = values as Record<string, string | boolean | undefined>;
  return { ...surroundings, positionals, values: single, json: single.json === true };
}

/** As `parseArgs` takes an option apart. */
interface OptionToken {
  name: string;
  rawName: string;
  value: string | undefined;
  inlineValue: boolean | undefined;
}

/** What is wrong with an option as it was written, or null. */
function optionTrouble({ name, rawName, value, inlineValue }: OptionToken, options: VerbOptions): string | null {
  const known = Object.hasOwn(options, name) && rawName === `--${name}` ? options[name] : undefined;
  if (known === undefined) {
    const near = nearest(name, Object.keys(options));
    return `There is no option ${rawName}.${near === null ? '' : ` Did you mean --${near}?`}`;
  }
  if (known.type === 'boolean') return value === undefined ? null : `--${name} takes no value.`;
  if (value === undefined) return `--${name} wants a value.`;
  // Most likely the next option; a value of that look is joined to its option.
  if (inlineValue !== true && /^-./.test(value))
    return `--${name} wants a value; write --${name}=${value} if "${value}" is it.`;
  return null;
}
