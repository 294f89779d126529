import { once } from 'node:events';
import { Firmata } from 'firmata-io';
import { Board } from 'johnny-five';
import { describe, expect, it } from 'vitest';
import { FirmataTransport } from '../../firmware-host/stand/firmata-transport';
import { Rig } from '../support/rig';

/** A stock client on the line of a virtual stand that has not been switched on yet. */
function client() {
  const rig = new Rig();
  const transport = new FirmataTransport(rig.link);
  const io = new Firmata(transport);
  const events: string[] = [];
  for (const event of ['connect', 'reportversion', 'queryfirmware', 'ready', 'error']) {
    io.on(event, () => events.push(event));
  }
  transport.open();
  return { rig, transport, io, events };
}

describe('an unmodified firmata-io', () => {
  it('becomes ready by what the controller volunteers and answers', () => {
    const { rig, io, events } = client();
    rig.advance(0.5);
    expect(events).toEqual(['connect', 'reportversion', 'queryfirmware', 'ready']);
    expect(io.version).toEqual({ major: 2, minor: 8 });
    expect(io.firmware.name).toMatch(/wholeturn/i);
    expect(io.pins.length).toBe(70);
    expect(rig.link.counters()).toMatchObject({ aborted: 0, oversize: 0, stray: 0 });
  });

  it('and the segment link open on the same line without seeing each other', async () => {
    const { rig, events } = client();
    await rig.ready();
    expect(events.at(-1)).toBe('ready');
    expect(events).not.toContain('error');
    expect(Object.values(rig.link.counters()).every((count) => count === 0)).toBe(true);
    expect(rig.status.counters).toEqual({
      crc: 0,
      length: 0,
      type: 0,
      link: 0,
      sequence: 0,
      aborted: 0,
      overrun: 0,
      refused: 0,
    });
  });

  it('that comes late asks and becomes ready too', () => {
    const { rig, io } = client();
    const late = new Rig();
    late.advance(1);
    const transport = new FirmataTransport(late.link);
    const second = new Firmata(transport, { reportVersionTimeout: 600_000 });
    transport.open();
    second.reportVersion(() => {});
    second.queryFirmware(() => {});
    late.advance(0.5);
    expect(second.isReady).toBe(true);
    rig.advance(0.5);
    expect(io.isReady).toBe(true);
    clearTimeout(second.reportVersionTimeoutId);
  });

  it('that throws at an odd message does not take the link down with it', async () => {
    const { rig, io, transport, events } = client();
    await rig.ready();
    io.removeAllListeners('error');
    io.on('error', () => events.push('error told'));
    transport.prependListener('data', () => {
      throw new Error('an odd message');
    });
    io.queryFirmware(() => {});
    rig.advance(0.2);
    expect(events).toContain('error told');
    expect(rig.losses).toEqual([]);
    expect(rig.status.drivesOn).toBe(true);
  });
});

describe('an unmodified johnny-five', () => {
  it('has its Board ready on the ready client, and its commands leave the motion alone', async () => {
    const { rig, io } = client();
    await rig.ready();
    const board = new Board({ io, repl: false, debug: false, sigint: false });
    await once(board, 'ready');
    expect(board.isReady).toBe(true);
    const before = rig.stand.truth();
    for (let pin = 0; pin < io.pins.length; pin++) {
      io.pinMode(pin, io.MODES.OUTPUT);
      io.digitalWrite(pin, 1);
    }
    rig.advance(0.5);
    expect(rig.stand.truth().steps).toEqual(before.steps);
    expect(rig.status).toMatchObject({ drivesOn: true, latchedStop: null, lift: 'up' });
  });
});
