/** Tells which contacts of a stand are asserted, as they change: for wiring and commissioning. Nothing moves, drives stay off. */
import { randomInt } from 'node:crypto';
import { RealClock } from '../stand/clock';
import { SerialLink } from '../stand/serial/serial-link';
import type { StandInputs, StandStatus } from '../stand/stand-link';
import { type Call, MachineError, usageComplaint, type Verb } from './verb';

/** Nothing is moved by listening; these only have to be allowed. The link is kept alive, so that nothing ends by silence. */
const OPEN = { rampMs: 500, hostSilentMs: 1000, liftTimeoutMs: 3000, enableDelayMs: 200 };
const ALIVE_SECONDS = 0.1;

const WORDS: Record<keyof StandInputs, string> = {
  halt: 'halt',
  guard: 'guard open',
  driveFault: 'drive fault',
  index: 'index of the turntable',
  strokeLow: 'stroke, lower limit',
  strokeHigh: 'stroke, upper limit',
  radialLow: 'radial, inner limit',
  radialHigh: 'radial, outer limit',
  lapTurnReference: 'lapTurn reference',
  liftUp: 'lift up',
  liftDown: 'lift down',
  freeOfGlass: 'free of the glass',
};

export const contacts: Verb = {
  summary: 'Shows the contacts of a stand as they open and close; nothing moves.',
  usage: 'contacts --port PORT [--json]',
  help: [
    '--port PORT   the serial port of the controller; "wholeturn ports" lists them',
    'A line for every change until Ctrl+C; with --json what is asserted now, once.',
  ],
  options: { port: { type: 'string' } },
  positionals: [0, 0],
  async run(call: Call): Promise<number> {
    const { port } = call.values;
    if (typeof port !== 'string' || port === '') throw usageComplaint('Name the port of the controller: --port PORT.');
    const clock = new RealClock();
    const link = new SerialLink({ clock, linkId: randomInt(1, 0x4000), path: port, expected: null });
    let cancel = (): void => {};
    const live = (): void => {
      link.alive();
      cancel = clock.after(ALIVE_SECONDS, live);
    };
    try {
      const first = new Promise<StandStatus>((resolve) => link.onStatus(resolve));
      const { words } = await link.open(OPEN);
      live();
      const asserted = namesOf((await first).inputs);
      if (call.json) call.out(`${JSON.stringify({ port, asserted })}\n`);
      else {
        call.out(`${words}. Asserted now: ${wordsOf(asserted)}.\nCtrl+C ends.\n`);
        await tellChanges(call, link, asserted);
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
function tellChanges(call: Call, link: SerialLink, from: (keyof StandInputs)[]): Promise<void> {
  let last = from;
  return new Promise((resolve, reject) => {
    link.onLost((words) => reject(new Error(words)));
    link.onStatus(({ inputs }) => {
      const now = namesOf(inputs);
      for (const name of now) if (!last.includes(name)) call.out(`${WORDS[name]}: asserted\n`);
      for (const name of last) if (!now.includes(name)) call.out(`${WORDS[name]}: released\n`);
      last = now;
    });
    call.onInterrupt(resolve);
  });
}

function namesOf(inputs: StandInputs): (keyof StandInputs)[] {
  return (Object.keys(WORDS) as (keyof StandInputs)[]).filter((name) => inputs[name]);
}

function wordsOf(names: readonly (keyof StandInputs)[]): string {
  return names.length === 0 ? 'nothing' : names.map((name) => WORDS[name]).join(', ');
}
