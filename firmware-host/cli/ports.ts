import { listPorts } from '../stand/serial/port';
import { type Call, MachineError, type Verb } from './verb';

/** Which serial ports this machine has, with what is plugged in. */
export const ports: Verb = {
  summary: 'Lists the serial ports of this machine and what is plugged into them.',
  usage: 'ports [--json]',
  help: ['Path, maker and serial number, as the device tells them. Nothing is opened.'],
  options: {},
  positionals: [0, 0],
  async run(call: Call): Promise<number> {
    const found = await listPorts().catch((error: Error) => {
      throw new MachineError(`The system does not tell which serial ports there are (${error.message}).`);
    });
    if (call.json) call.out(`${JSON.stringify({ ports: found })}\n`);
    else if (found.length === 0) call.out('There is no serial port. Is the controller plugged in?\n');
    else
      for (const { path, maker, serialNumber } of found)
        call.out(
          `${[path.padEnd(20), maker === '' ? 'nothing tells of itself' : maker, serialNumber].join('  ').trimEnd()}\n`,
        );
    return 0;
  },
};
