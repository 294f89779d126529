/** The person at the stand: what they are asked, the cautions they read once, and what they do before iron moves. */
import { userInfo } from 'node:os';
import { CAUTIONS } from '../../planner/stand/cautions';
import type { Logbook } from '../logbook/logbook';
import { shownName } from '../stand/serial/words';
import type { ProgramFiles } from './files';
import { hanging } from './program-words';
import { type Call, MachineError } from './verb';

/** The line typed in answer; null when the person called it off, or `until` came first. Only where somebody can type. */
export function ask(
  call: Call,
  words: string,
  until: Promise<unknown> = new Promise(() => {}),
): Promise<string | null> {
  call.err(words);
  return new Promise((resolve) => {
    const offs: (() => void)[] = [];
    const answer = (line: string | null): void => {
      for (const off of offs) off();
      resolve(line);
    };
    offs.push(call.onInterrupt(() => answer(null)));
    if (call.onLine !== undefined) offs.push(call.onLine(answer));
    const late = (): void => answer(null);
    until.then(late, late);
  });
}

/** Who sits at this machine, as the logbook calls them. */
export function personOf({ values, environment }: Call): string {
  if (typeof values.person === 'string' && values.person.trim() !== '') return values.person.trim();
  const { USER, LOGNAME, USERNAME } = environment;
  return USER ?? LOGNAME ?? USERNAME ?? userInfo().username;
}

/** Has the cautions read and acknowledged, once for each person. Throws MachineError where they are not. */
export async function haveCautionsRead(call: Call, logbook: Logbook, nowMs: number): Promise<void> {
  const name = personOf(call);
  if (logbook.cautionsAcknowledged().includes(name)) return;
  call.err(['Before your first real run:', '', ...CAUTIONS.map((words) => hanging('  - ', words)), '', ''].join('\n'));
  if (call.onLine === undefined)
    throw new MachineError(
      `${name} has not acknowledged the cautions yet. Run it once at a terminal, where they can be; nothing has moved.`,
    );
  const answer = await ask(call, 'Type yes when you have read this, and the stand has such an emergency stop: ');
  if (answer?.trim().toLowerCase() !== 'yes')
    throw new MachineError('The cautions were not acknowledged; nothing has moved.');
  logbook.acknowledgeCautions(name, false, nowMs);
}

/** Why a real run on this stand is refused; hardware-notes/COMMISSIONING.md says the same. */
export function notCommissionedWords({ stand, standFile }: ProgramFiles): string {
  const name = shownName(stand.name);
  if (stand.virtual)
    return (
      `Name your own stand with --stand FILE: "${name}" in ${standFile} is a virtual one, so nothing was sent to the port. ` +
      'A stand of iron is walked once its file says "commissioned: true"; hardware-notes/COMMISSIONING.md tells when to write that.'
    );
  return (
    `The stand "${name}" is not commissioned, so nothing was sent to it. Go through hardware-notes/COMMISSIONING.md step by ` +
    `step: "commissioned: true" is written in ${standFile} by you, at the step before the first motion, and stays there only when everything held.`
  );
}
