/**
 * Puts an emulated chip back where it was, so that many fates can be tried from one moment. Only the very chip that was copied can be put
 * back: avr8js keeps what is to happen later as closures over its own objects.
 */
import type { CPU } from 'avr8js';

export interface Snapshot {
  readonly data: Uint8Array;
  readonly pc: number;
  readonly cycles: number;
  readonly interrupts: Interrupts;
  readonly events: readonly { cycles: number; callback: () => void }[];
  /** Plain fields of each peripheral, in the order they were given. */
  readonly fields: readonly Record<string, unknown>[];
}

/** What of avr8js's CPU is private but belongs to its state. */
interface Interrupts {
  pendingInterrupts: (object | null)[];
  nextInterrupt: number;
  maxInterrupt: number;
}
interface Inside extends Interrupts {
  nextClockEvent: { cycles: number; callback: () => void; next: Inside['nextClockEvent'] } | null;
}

export function takeSnapshot(cpu: CPU, peripherals: readonly object[]): Snapshot {
  const { pendingInterrupts, nextInterrupt, maxInterrupt, nextClockEvent } = cpu as unknown as Inside;
  const events: { cycles: number; callback: () => void }[] = [];
  for (let event = nextClockEvent; event; event = event.next) {
    events.push({ cycles: event.cycles, callback: event.callback });
  }
  return {
    data: cpu.data.slice(),
    pc: cpu.pc,
    cycles: cpu.cycles,
    interrupts: { pendingInterrupts: [...pendingInterrupts], nextInterrupt, maxInterrupt },
    events,
    fields: peripherals.map(plainFields),
  };
}

export function restoreSnapshot(cpu: CPU, peripherals: readonly object[], snapshot: Snapshot): void {
  cpu.data.set(snapshot.data);
  cpu.pc = snapshot.pc;
  cpu.cycles = snapshot.cycles;
  const { pendingInterrupts, nextInterrupt, maxInterrupt } = snapshot.interrupts;
  Object.assign(cpu, { pendingInterrupts: [...pendingInterrupts], nextInterrupt, maxInterrupt });
  let next: Inside['nextClockEvent'] = null;
  for (const event of snapshot.events.toReversed()) next = { ...event, next };
  (cpu as unknown as Inside).nextClockEvent = next;
  peripherals.forEach((one, i) => {
    for (const [name, value] of Object.entries(snapshot.fields[i]!))
      putBack(one as Record<string, unknown>, name, value);
  });
}

/** Lists are filled anew where they are: others may hold them too. */
function putBack(owner: Record<string, unknown>, name: string, value: unknown): void {
  const there = owner[name];
  if (there instanceof Uint8Array) there.set(value as Uint8Array);
  else if (Array.isArray(there)) there.splice(0, there.length, ...(value as unknown[]));
  else owner[name] = value;
}

/** Numbers, booleans, texts and lists of numbers; objects and functions stay what they are. */
function plainFields(object: object): Record<string, unknown> {
  const plain = Object.entries(object).filter(
    ([, value]) =>
      ['number', 'boolean', 'string'].includes(typeof value) ||
      value instanceof Uint8Array ||
      (Array.isArray(value) && value.every((one) => typeof one === 'number')),
  );
  return structuredClone(Object.fromEntries(plain));
}
