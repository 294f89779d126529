/** Draws the incidents of a case from a seed, in a form that can be kept. */
import { seeded } from '../support/random';
import { type Draw, type Incident, type Made, pick } from './incident';
import { type Kind, WALKING } from './incidents';

/** Nothing of these shows while the walk goes on. */
const ONLY_STARTING: ReadonlySet<Kind> = new Set<Kind>(['liftStuckDown']);
/** A restart has four causes: it is drawn as often as three others. */
const KINDS: readonly Kind[] = [
  ...(Object.keys(WALKING) as Kind[]).filter((kind) => !ONLY_STARTING.has(kind)),
  'restart',
  'restart',
];
/** What can happen to a stand that is being brought to where the walk begins. */
const STARTING: readonly Kind[] = [
  'halt',
  'guard',
  'stop',
  'cableOut',
  'restart',
  'hostKilled',
  'corruption',
  'everyDamage',
  'liftStuckDown',
];

/** An incident in a form that can be kept: what it is, when it begins, and the seed of everything else about it. */
export interface Drawn {
  kind: Kind;
  at: number;
  seed: number;
}

/** The incidents of a case, drawn, at most so many; those at turns come in their order. */
export function drawIncidents(random: Draw, turns: number, most: number): Drawn[] {
  const drawn: Drawn[] = [];
  for (let count = Math.min(most, 1 + Math.floor(random() * 2.4)); count > 0; count--) {
    const starting = random() < 0.12;
    const kind = pick(random, starting ? STARTING : KINDS);
    const at = starting ? -12 * random() : random() * (turns - 0.02);
    drawn.push({ kind, at, seed: Math.floor(random() * 2 ** 31) });
  }
  return drawn.sort((a, b) => a.at - b.at);
}

/** What was drawn, for a program of so many turns. */
export function incidentOf({ kind, at, seed }: Drawn, turns: number, restsByHand: boolean): Incident {
  const make: (random: Draw, turnsLeft: number, restsByHand: boolean) => Made = WALKING[kind];
  const made = make(seeded(seed), turns - Math.max(0, at), restsByHand);
  // At a start nothing walks yet that could show it.
  return { ...made, at, must: at < 0 && kind !== 'halt' && kind !== 'guard' ? null : made.must };
}
