/** A run of this program that was cut short: a person says whether it is gone on with. It never goes on by itself. */
import type { Interrupted } from '../logbook/left-open';
import type { StartFrom } from '../run/reducer';
import type { RunSnapshot } from '../run/snapshot';
import { ask } from './person';
import { type Call, MachineError } from './verb';

/** Throws MachineError where nobody is there to look at the stand and say what becomes of that run. */
export function needPersonFor(call: Call, found: Interrupted | null): void {
  if (found === null || call.onLine !== undefined) return;
  throw new MachineError(
    `${found.words} Look at the stand, then run it at a terminal to go on from there or to start anew; nothing has moved.`,
  );
}

/**
 * Where the start begins, asked once the stand is found: only then is it known how exactly the place is. Throws MachineError where the
 * person leaves it.
 */
export async function askToGoOn(
  call: Call,
  { cutShort, turnsWalked }: Pick<RunSnapshot, 'cutShort' | 'turnsWalked'>,
  plannedTurns: number,
): Promise<StartFrom> {
  if (cutShort === null) return 'beginning';
  const over = turnsWalked >= plannedTurns;
  const on = over
    ? 'It was walked to its end. Type'
    : `Look that the lap is up and free of the glass. Type "on" when it is, to go on from turn ${turnsWalked.toFixed(2)};`;
  const answer = await ask(call, `${cutShort}\n${on} "anew" to start from the beginning; anything else leaves it: `);
  const said = answer?.trim().toLowerCase();
  if (said === 'on' && !over) return 'place';
  if (said === 'anew') return 'beginning';
  throw new MachineError('Left as it is; nothing has moved.');
}
