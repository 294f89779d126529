/** The serial ports of this machine: what there is, and opening one. */
import { SerialPort, type SerialPortMock } from 'serialport';
import { openFailureWords, shownName } from './words';

/** Bits a second of both boards: 16 MHz makes it exactly. */
export const BAUD = 250_000;

/** An instance of serialport's, or of its mock's. */
export type Port = SerialPort | SerialPortMock;

/** Where ports come from; tests give a mock's. */
export interface Ports {
  list(): Promise<readonly { path: string; manufacturer?: string | undefined; serialNumber?: string | undefined }[]>;
  /** Not open yet. */
  make(path: string, baudRate: number): Port;
}

export const machinePorts: Ports = {
  list: () => SerialPort.list(),
  // Without hang-up the port's end leaves DTR alone, so that a host that crashed and comes back does not reset the controller.
  make: (path, baudRate) => new SerialPort({ path, baudRate, autoOpen: false, hupcl: false }),
};

/** A port as a person is shown it. */
export interface PortShown {
  path: string;
  maker: string;
  serialNumber: string;
}

/** Ports that have a maker (plugged-in ones) first. Rejects where the operating system does not tell. */
export async function listPorts(ports: Ports = machinePorts): Promise<PortShown[]> {
  const found = await ports.list();
  return found
    .map(({ path, manufacturer, serialNumber }) => ({
      path: shownName(path, 120),
      maker: shownName(manufacturer),
      serialNumber: shownName(serialNumber),
    }))
    .sort((a, b) => Number(b.maker !== '') - Number(a.maker !== '') || (a.path < b.path ? -1 : 1));
}

/** Opens a port; rejects with words for a person. */
export async function openPort(path: string, ports: Ports, baudRate = BAUD): Promise<Port> {
  const port = ports.make(path, baudRate);
  const failure = await new Promise<Error | null>((resolve) => {
    port.open((error) => resolve(error));
  });
  if (failure === null) return port;
  const others = await listPorts(ports).catch(() => []);
  throw new Error(
    openFailureWords(
      path,
      failure.message,
      others.filter(({ maker }) => maker !== '').map((one) => one.path),
    ),
  );
}
