/** Tells which contacts of a stand are asserted, as they change: for wiring and commissioning. Nothing moves, drives stay off. */
import { randomInt } from 'node:crypto';
import type { OwnPins } from '../../planner/stand/pins';
import { nameOf, readPins, withOwnPins } from '../controller/pin-table';
import { standImage } from '../controller/stand-image';
import { RealClock } from '../stand/clock';
import { BOARDS, INPUT_BITS } from '../stand/codes';
import { SerialLink } from '../stand/serial/serial-link';
import type { StandInputs, StandStatus } from '../stand/stand-link';
import { readStandFile } from './files';
import { wrongImageWords } from './right-image';
import { type Call, MachineError, usageComplaint, type Verb } from './verb';

/** Nothing is moved by listening; these only have to be allowed. The link is kept alive, so that nothing ends by silence. */
const OPEN = { rampMs: 500, hostSilentMs: 1000, liftTimeoutMs: 3000, enableDelayMs: 200 };
const ALIVE_SECONDS = 0.1;

export interface Contact {
  /** What the pin table calls it. */
  name: string;
  /** Whether it is open or closed when it counts as asserted. */
  asserted: 'open' | 'closed';
  /** Where the stand's reports tell it; several where the small board has its limits in one circuit. */
  keys: (keyof StandInputs)[];
}

/**
 * The contacts of a board as the pin table has them, or a stand with pins of its own; of the reference board for any but the small one.
 * Those no report tells are left out.
 */
export function contactsOf(board: string, own: OwnPins = {}): Contact[] {
  const tables = readPins();
  const table = tables.find(({ code }) => BOARDS[code] === board) ?? tables[0]!;
  const { pins } = withOwnPins(table, own);
  return pins.flatMap((pin) => {
    if (pin.kind !== 'input') return [];
    const keys = (Object.keys(INPUT_BITS) as (keyof StandInputs)[]).filter(
      (key) => key === pin.signal || (pin.signal === 'limits' && /^(stroke|radial)/.test(key)),
    );
    return keys.length === 0 ? [] : [{ name: nameOf(pin), asserted: pin.asserted, keys }];
  });
}

export const contacts: Verb = {
  summary: 'Shows the contacts of a stand as they open and close; nothing moves.',
  usage: 'contacts --port PORT [--stand FILE] [--json]',
  help: [
    '--port PORT   the serial port of the controller; "wholeturn ports" lists them',
    '--stand FILE  the stand, where its file turns pins round: a mark is then told as open or closed as it is wired',
    'A line for every change until Ctrl+C; with --json what is asserted now, once.',
  ],
  options: { port: { type: 'string' }, stand: { type: 'string' } },
  positionals: [0, 0],
  async run(call: Call): Promise<number> {
    const { port } = call.values;
    if (typeof port !== 'string' || port === '') throw usageComplaint('Name the port of the controller: --port PORT.');
    const { stand: standFile } = call.values;
    const stand = typeof standFile === 'string' ? readStandFile(standFile) : null;
    const clock = new RealClock();
    const link = new SerialLink({ clock, linkId: randomInt(1, 0x4000), path: port, expected: null });
    let cancel = (): void => {};
    const live = (): void => {
      link.alive();
      cancel = clock.after(ALIVE_SECONDS, live);
    };
    try {
      const first = new Promise<StandStatus>((resolve) => link.onStatus(resolve));
      const identity = await link.open(OPEN);
      const wrong = stand?.board && wrongImageWords(standImage(stand.board, stand.pins), identity);
      if (wrong) throw new Error(wrong);
      const { words, board } = identity;
      live();
      const { inputs } = await first;
      if (call.json) {
        const asserted = (Object.keys(INPUT_BITS) as (keyof StandInputs)[]).filter((key) => inputs[key]);
        call.out(`${JSON.stringify({ port, asserted })}\n`);
      } else {
        const all = contactsOf(board, stand?.pins);
        const names = all.filter((one) => isAsserted(one, inputs)).map(({ name }) => name);
        call.out(`${words}. Asserted now: ${names.join(', ') || 'nothing'}.\nCtrl+C ends.\n`);
        await tellChanges(call, link, all, inputs);
      }
      return 0;
    } catch (error) {
      throw new MachineError((error as Error).message);
    } finally {
      cancel();
      await link.close();
    }
  },
};

/** Until the person calls it off; rejects when the line is gone. */
function tellChanges(call: Call, link: SerialLink, all: readonly Contact[], from: StandInputs): Promise<void> {
  let last = from;
  return new Promise((resolve, reject) => {
    link.onLost((words) => reject(new Error(words)));
    link.onStatus(({ inputs }) => {
      for (const one of all) {
        const now = isAsserted(one, inputs);
        if (now === isAsserted(one, last)) continue;
        const state = now === (one.asserted === 'open') ? 'open' : 'closed';
        call.out(`${one.name}: ${now ? 'asserted' : 'released'} (${state})\n`);
      }
      last = inputs;
    });
    call.onInterrupt(resolve);
  });
}

function isAsserted({ keys }: Contact, inputs: StandInputs): boolean {
  return keys.some((key) => inputs[key]);
}
