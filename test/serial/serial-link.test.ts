import { SerialPortMock } from 'serialport';
import { describe, expect, it } from 'vitest';
import { imageHash } from '../../firmware-host/controller/images';
import { listPorts } from '../../firmware-host/stand/serial/port';
import { openFailureWords, shownName } from '../../firmware-host/stand/serial/words';
import type { StandStatus } from '../../firmware-host/stand/stand-link';
import { decodeToStand, encodeToHost } from '../../firmware-host/wire/frame';
import { OPEN } from '../support/rig';
import { opened } from '../support/stand-frames';
import { type Device, PATH, SerialBench } from './bench';

/** A board that says nothing. */
const SILENT: Device = { receive: () => {}, take: () => new Uint8Array() };

function sysexOf(text: string): number[] {
  return [...text].flatMap((letter) => [letter.charCodeAt(0) & 0x7f, letter.charCodeAt(0) >> 7]);
}

/** Other firmware at its own speed: tells its version and name when asked, knows nothing else. */
function otherFirmware(name: string, baud: number): Device {
  let answers: number[] = [];
  return {
    receive(bytes, baudRate) {
      if (baudRate !== baud) return;
      const asked = Buffer.from(bytes).includes(Buffer.of(0xf0, 0x79, 0xf7));
      if (asked) answers = [0xf9, 2, 5, 0xf0, 0x79, 2, 5, ...sysexOf(name), 0xf7];
    },
    take() {
      const said = Uint8Array.from(answers);
      answers = [];
      return said;
    },
  };
}

describe('a stand on a serial port', () => {
  it('opens, tells what it is, and its reports come through', async () => {
    const bench = new SerialBench();
    bench.connectStand();
    const link = bench.link();
    let last: StandStatus | null = null;
    link.onStatus((status) => {
      last = status;
    });
    const identity = await bench.settle(link.open(OPEN));
    expect(identity).toMatchObject({ protocol: 1, bootId: 0x0b00, axes: 5, tickHz: 40_000, imageHash: imageHash() });
    expect(identity.words).toBe(`Stand on ${PATH} (virtual board)`);
    // The board says by itself that no iron hangs on it.
    expect(identity.virtual).toBe(true);
    await bench.advance(0.2);
    expect(last).toMatchObject({ atRest: true, drivesOn: false });
    expect(bench.opened[0]!.baudRate).toBe(250_000);
    expect(Object.values(link.counters()).every((count) => count === 0)).toBe(true);
    await bench.settle(link.close());
    expect(bench.opened[0]!.isOpen).toBe(false);
  });

  it('may take four seconds in its boot loader', async () => {
    const bench = new SerialBench();
    const stand = bench.connectStand();
    let awake = false;
    const inner = {
      receive: (bytes: Uint8Array) => stand.pipe.write(Uint8Array.from(bytes)),
      said: [] as Uint8Array[],
    };
    stand.pipe.onBytes((bytes) => inner.said.push(bytes.slice()));
    bench.connect({
      receive: (bytes) => {
        if (awake) inner.receive(bytes);
      },
      take: () => {
        const said = Buffer.concat(inner.said.splice(0));
        return awake ? said : new Uint8Array();
      },
    });
    bench.simulation.clock.after(4, () => {
      awake = true;
    });
    const identity = await bench.settle(bench.link().open(OPEN));
    expect(identity.bootId).toBe(0x0b00);
    expect(bench.simulation.clock.now()).toBeGreaterThan(4);
    expect(bench.simulation.clock.now()).toBeLessThan(4.5);
  });

  it('that is unplugged is told, and comes back on the same port with the place it stood at', async () => {
    const bench = new SerialBench();
    bench.connectStand();
    const link = bench.link();
    const losses: string[] = [];
    link.onLost((words) => losses.push(words));
    await bench.settle(link.open(OPEN));
    await bench.advance(0.3);
    bench.unplug();
    await bench.advance(0.1);
    expect(losses[0]).toBe(
      `${PATH} is gone (device not configured). Was the cable pulled, or the power of the controller cut?`,
    );
    await expect(bench.settle(link.open(OPEN))).rejects.toThrow(
      `There is no port ${PATH}. No serial port is there at all. Check cable and power of the controller.`,
    );
    bench.plugIn();
    const identity = await bench.settle(link.open(OPEN));
    expect(identity).toMatchObject({ bootId: 0x0b00, before: { segment: -1, ticksLeft: 0 } });
    expect(bench.opened.length).toBe(3);
  });
});

describe('what stands in the way is told in words', () => {
  it('nothing answers', async () => {
    const bench = new SerialBench();
    bench.connect(SILENT);
    await expect(bench.settle(bench.link().open(OPEN))).rejects.toThrow(
      `Nothing answers on ${PATH}. Is the controller powered, is this its port, and is the controller image on it?`,
    );
    expect(bench.opened[0]!.baudRate).toBe(250_000);
  });

  it('another program holds the port', async () => {
    const bench = new SerialBench();
    const other = new SerialPortMock({ path: PATH, baudRate: 9600 });
    await new Promise((resolve) => other.once('open', resolve));
    await expect(bench.settle(bench.link().open(OPEN))).rejects.toThrow(
      `${PATH} is held by another program. Close it (a serial monitor, another Wholeturn) and try again.`,
    );
  });

  it.each([57_600, 115_200, 250_000])('other firmware answers at %i baud, and is named', async (baud) => {
    const bench = new SerialBench();
    bench.connect(otherFirmware('StandardFirmata.ino', baud));
    await expect(bench.settle(bench.link().open(OPEN))).rejects.toThrow(
      `The board on ${PATH} runs other firmware (StandardFirmata.ino 2.5).`,
    );
  });

  it('a name meant for the terminal instead of the reader is made harmless', async () => {
    const bench = new SerialBench();
    bench.connect(otherFirmware(`\u001b[2Jrm -rf${'x'.repeat(200)}`, 57_600));
    const failure = await bench.settle(bench.link().open(OPEN)).catch((error: Error) => error.message);
    expect(failure).toContain('other firmware ([2Jrm -rfxxx');
    expect(failure).not.toContain('\u001b');
    expect(String(failure).length).toBeLessThan(300);
  });

  it.each([
    [0, 'Flash the controller image of this version.'],
    [2, 'Update this program.'],
  ])('revision %i of the wire', async (protocol, cure) => {
    const bench = new SerialBench();
    let answer = new Uint8Array();
    bench.connect({
      receive(bytes) {
        const asked = decodeToStand(bytes.subarray(2, -1));
        if (typeof asked === 'object' && asked.name === 'open')
          answer = Uint8Array.from(encodeToHost(opened({ protocol }), asked.proposedLink, 0));
      },
      take: () => answer,
    });
    await expect(bench.settle(bench.link().open(OPEN))).rejects.toThrow(
      `The stand speaks revision ${protocol} of the wire, this program 1. ${cure}`,
    );
  });

  it('the stand file describes another kind of stand, or another tick', async () => {
    const bench = new SerialBench();
    bench.connectStand();
    await expect(bench.settle(bench.link({ virtual: false, tickHz: 40_000 }).open(OPEN))).rejects.toThrow(
      `${PATH} leads to a virtual stand, but the stand file describes a stand of iron.`,
    );
    const slow = new SerialBench();
    slow.connectStand();
    await expect(slow.settle(slow.link({ virtual: true, tickHz: 20_000 }).open(OPEN))).rejects.toThrow(
      'The controller ticks at 40000 Hz, the stand file says 20000 Hz: speeds would be wrong.',
    );
  });

  it('noise', async () => {
    const bench = new SerialBench();
    bench.connect({ receive: () => {}, take: () => Uint8Array.of(0x12, 0x80, 0xf0, 0x81) });
    await expect(bench.settle(bench.link().open(OPEN))).rejects.toThrow('Something answers on');
  });

  it.each([
    ['Error: Permission denied, cannot open /dev/ttyACM0', 'may not be used by you'],
    ['Error Resource temporarily unavailable Cannot lock port', 'is held by another program'],
    ['Opening COM3: Access denied', 'is held by another program'],
    ['Error: No such file or directory, cannot open /dev/ttyACM0', 'There are: /dev/ttyACM1.'],
    ['Opening COM3: File not found', 'There is no port'],
    ['Opening COM3: Unknown error code 31', 'cannot be opened (Opening COM3: Unknown error code 31)'],
  ])('of the operating system: %s', (cause, words) => {
    expect(openFailureWords('/dev/ttyACM0', cause, ['/dev/ttyACM1'])).toContain(words);
  });
});

describe('the list of ports', () => {
  it('shows plugged-in ones first, and nothing that a device could smuggle in by its name', async () => {
    const ports = {
      make: () => {
        throw new Error('nothing is opened');
      },
      list: async () => [
        { path: '/dev/ttyS0' },
        { path: '/dev/ttyACM1', manufacturer: 'Board\u0007 maker\n\u001b[31m $(reboot)', serialNumber: '42\u202e' },
        { path: '/dev/ttyACM0', manufacturer: 'm'.repeat(100), serialNumber: undefined },
      ],
    };
    expect(await listPorts(ports)).toEqual([
      { path: '/dev/ttyACM0', maker: `${'m'.repeat(59)}…`, serialNumber: '' },
      { path: '/dev/ttyACM1', maker: 'Board maker[31m $(reboot)', serialNumber: '42' },
      { path: '/dev/ttyS0', maker: '', serialNumber: '' },
    ]);
  });

  it('leaves names as people write them', () => {
    expect(shownName(' Größe µ-Board (rev. 2), 北京 ')).toBe('Größe µ-Board (rev. 2), 北京');
    expect(shownName(undefined)).toBe('');
  });
});
