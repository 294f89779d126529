/** Finds the verb, runs it, and turns whatever goes wrong into words and an exit code: 1 bad input, 2 machine trouble. */
import { LogbookError } from '../logbook/database';
import {
  complaintLine,
  InputError,
  MachineError,
  readCall,
  type Surroundings,
  usageComplaint,
  type Verb,
} from './verb';

/** Loaded only when called, so that `check` does not wait for what `serve` needs. */
export const VERBS: Record<string, () => Verb> = {
  check: () => (require('./check') as { check: Verb }).check,
  compile: () => (require('./compile') as { compile: Verb }).compile,
  predict: () => (require('./predict') as { predict: Verb }).predict,
  rehearse: () => (require('./rehearse') as { rehearse: Verb }).rehearse,
  serve: () => (require('./serve') as { serve: Verb }).serve,
};

export async function runCommandLine(args: readonly string[], surroundings: Surroundings): Promise<number> {
  const { out } = surroundings;
  const [name, ...rest] = args;
  if (name === undefined || name === 'help' || name === '--help' || name === '-h') {
    const asked = rest[0] === undefined ? undefined : VERBS[rest[0]];
    out(asked === undefined ? listOfVerbs() : helpOf(asked()));
    return name === undefined ? 1 : 0;
  }
  const json = rest.includes('--json');
  try {
    const load = Object.hasOwn(VERBS, name) ? VERBS[name] : undefined;
    if (load === undefined)
      throw usageComplaint(`There is no verb "${name}". There are: ${Object.keys(VERBS).join(', ')}.`);
    const verb = load();
    if (rest.includes('--help') || rest.includes('-h')) {
      out(helpOf(verb));
      return 0;
    }
    return await verb.run(readCall(verb, rest, surroundings));
  } catch (error) {
    return told(error, json, surroundings);
  }
}

/** With --json there is always exactly one object on stdout, also when it went wrong. */
function told(error: unknown, json: boolean, { out, err }: Surroundings): number {
  if (error instanceof InputError) {
    for (const complaint of error.complaints) err(`${complaintLine(complaint)}\n`);
    if (json) out(`${JSON.stringify({ ok: false, complaints: error.complaints })}\n`);
    return 1;
  }
  const words = error instanceof Error ? error.message : String(error);
  const known = error instanceof MachineError || error instanceof LogbookError;
  err(known ? `${words}\n` : `This is a fault of Wholeturn itself, the glass was not touched: ${words}\n`);
  if (json) out(`${JSON.stringify({ ok: false, complaints: [], trouble: words })}\n`);
  return error instanceof LogbookError && error.fault === 'input' ? 1 : 2;
}

function helpOf(verb: Verb): string {
  return [`wholeturn ${verb.usage}`, '', verb.summary, '', ...verb.help.map((line) => `  ${line}`), ''].join('\n');
}

function listOfVerbs(): string {
  const lines = Object.entries(VERBS).map(([name, load]) => `  ${name.padEnd(10)}${load().summary}`);
  return [
    'wholeturn VERB ... [--json]',
    '',
    'Turns a stroke program for figuring a mirror into the motion of a stand, and says what it does to the glass.',
    '',
    ...lines,
    '',
    'wholeturn help VERB tells more. With --json exactly one JSON object is written to stdout.',
    'Exit code 1: something to put right in what you gave it. 2: the machine could not.',
    '',
  ].join('\n');
}
