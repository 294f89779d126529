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

/** How to get each verb, by its name. */
export type Verbs = Record<string, () => Verb>;

export async function runCommandLine(
  args: readonly string[],
  verbs: Verbs,
  surroundings: Surroundings,
): Promise<number> {
  const { out } = surroundings;
  const [name, ...rest] = args[0] === '--json' ? [...args.slice(1), '--json'] : args;
  if (name === undefined || name === 'help' || name === '--help' || name === '-h') {
    const asked = rest[0] === undefined ? undefined : verbs[rest[0]];
    out(asked === undefined ? listOfVerbs(verbs) : helpOf(asked()));
    return name === undefined ? 1 : 0;
  }
  const json = rest.includes('--json');
  try {
    const load = Object.hasOwn(verbs, name) ? verbs[name] : undefined;
    if (load === undefined)
      throw usageComplaint(`There is no verb "${name}". There are: ${Object.keys(verbs).join(', ')}.`);
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

function listOfVerbs(verbs: Verbs): string {
  const lines = Object.entries(verbs).map(([name, load]) => `  ${name.padEnd(10)}${load().summary}`);
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
