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

/** Why a real run on this stand is refused. */
export function notCommissionedWords({ stand, standFile }: ProgramFiles): string {
  return (
    `The stand "${shownName(stand.name)}" is not commissioned, so nothing was sent to it. Put it through ` +
    `hardware-notes/COMMISSIONING.md first, then write "commissioned: true" in ${standFile}` +
    `${stand.virtual ? ' (the one of your own stand: this one describes the virtual stand; name yours with --stand)' : ''}.`
  );
}
