/** The way in from a terminal: `npm run conformance -- --port PORT`. */
import { terminal } from '../../firmware-host/cli/terminal';
import { RealClock } from '../../firmware-host/stand/clock';
import { machinePorts } from '../../firmware-host/stand/serial/port';
import { conformance } from './conformance';

const world = { clock: new RealClock(), date: new Date(), ports: machinePorts, only: null };
conformance(process.argv.slice(2), terminal(), world).then((code) => {
  process.exitCode = code;
});
