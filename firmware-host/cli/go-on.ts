/** A run of this program that was cut short: a person says whether it is gone on with. It never goes on by itself. */
import type { Interrupted } from '../logbook/left-open';
import { ask } from './person';
import { type Call, MachineError } from './verb';

/**
 * The run to go on with; null to start anew. Throws MachineError where nobody is there to look at the stand and say so, or where the
 * person leaves it.
 */
export async function askToGoOn(call: Call, found: Interrupted | null): Promise<Interrupted | null> {
  if (found === null) return null;
  if (call.onLine === undefined)
    throw new MachineError(
      `${found.words} Look at the stand, then run it at a terminal to go on from there or to start anew; nothing has moved.`,
    );
  const answer = await ask(
    call,
    `${found.words}\nLook that the lap is up and free of the glass. Type "on" when it is, to go on from turn ` +
      `${found.turnsWalked.toFixed(2)}; "anew" to start from the beginning; anything else leaves all as it is: `,
  );
  const said = answer?.trim().toLowerCase();
  if (said === 'on') return found;
  if (said === 'anew') return null;
  throw new MachineError('Left as it is; nothing has moved.');
}
