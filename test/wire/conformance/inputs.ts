/** SPEC sections 6 and 7, and the seek: inputs as they are sampled, told and sought; standard Firmata. */
import assert from 'node:assert/strict';
import { stepsOf } from '../../support/segments';
import { BIT, even, fullPace, hasState, limitOf, longEven, onPath, REASON, ready, STATE, STOP, stopIs } from './begin';
import type { Case, Port } from './port';
import { Talk } from './talk';

/** Walking towards a seek, with every input of the mask released. */
function begins(port: Port, mask: number, levels: number): Talk {
  const talk = ready(port);
  talk.hold(0, mask);
  talk.run(0.01);
  talk.do({ name: 'seek', mask, levels, on: 1 });
  talk.begin(longEven(port));
  return talk;
}

function seeking(port: Port, mask: number, levels: number): Talk {
  const talk = begins(port, mask, levels);
  fullPace(talk);
  return talk;
}

export const INPUT_CASES: Case[] = [
  {
    section: 6,
    needs: 'hands',
    rule: 'each input is told at its bit',
    run(port) {
      const talk = new Talk(port);
      talk.open({ hostSilentMs: 5000, liftTimeoutMs: 5000 });
      for (let bit = 1; bit <= 0x1000; bit <<= 1) {
        if ((port.inputs & bit) === 0) continue;
        talk.hold(bit, port.inputs & ~bit);
        talk.run(0.01);
        const wanted = port.limitsInSeries && (bit & BIT.limits) !== 0 ? BIT.limits : bit;
        assert.equal(talk.status().inputs, wanted, `bit 0x${bit.toString(16)}`);
      }
      talk.hold(0, port.inputs);
      talk.run(0.01);
      assert.equal(talk.status().inputs, 0);
    },
  },
  {
    section: 6,
    needs: 'emulation',
    rule: 'halt acts on one sample',
    run(port) {
      const talk = ready(port);
      port.hold(BIT.halt, 0);
      talk.tick(1);
      port.hold(0, 0);
      talk.run(0.05);
      assert.equal(talk.status().latchedStop, 1);
    },
  },
  {
    section: 6,
    needs: 'emulation',
    rule: 'the guard acts on two samples, not on one',
    run(port) {
      const talk = ready(port);
      port.hold(BIT.guard, 0);
      talk.tick(1);
      port.hold(0, 0);
      talk.run(0.05);
      assert.equal(talk.status().latchedStop, 0);
      port.hold(BIT.guard, 0);
      talk.tick(3);
      port.hold(0, 0);
      talk.run(0.05);
      assert.equal(talk.status().latchedStop, 3);
    },
  },
  {
    section: 6,
    needs: 'emulation',
    rule: 'index edges are counted as they begin, and the place of the last is latched to within seven path ticks',
    run(port) {
      const talk = ready(port);
      port.hold(0, BIT.index);
      talk.run(0.01);
      const segments = even(110);
      talk.push(segments);
      talk.do(talk.pace(64));
      fullPace(talk);
      const count = talk.status().indexCount;
      for (let edge = 1; edge <= 3; edge++) {
        const made = talk.motors().steps[0]!;
        port.hold(BIT.index, 0);
        talk.run(0.004);
        port.hold(0, BIT.index);
        talk.run(0.004);
        const status = talk.status();
        assert.equal((status.indexCount - count) & 0xffff, edge);
        const place = { segment: status.indexBegun - 1, ticksLeft: status.indexTicksLeft };
        const late = stepsOf(segments, place).steps[0]! - made;
        // Seven path ticks are two steps of four ticks at most.
        assert.ok(late >= 0 && late <= 2, `${late} steps late`);
      }
    },
  },
  {
    section: 6,
    needs: 'hands',
    rule: 'a latched place is one in the numbers of now: a flush sets it to none, the index count goes on',
    run(port) {
      const talk = ready(port);
      talk.hold(BIT.index, 0);
      talk.run(0.01);
      const { indexCount } = talk.status();
      assert.ok(indexCount > 0);
      talk.do({ name: 'flush' });
      const status = talk.status();
      assert.deepEqual([status.indexCount, status.indexBegun, status.indexTicksLeft], [indexCount, 0, 0]);
    },
  },
  {
    section: 4,
    needs: 'hands',
    rule: 'a seek latches the first place at which an input has the level asked, eases, and lets no pace through until sought again',
    run(port) {
      const limit = limitOf(port);
      const talk = seeking(port, limit, limit);
      const segments = longEven(port);
      const made = talk.motors().steps[0]!;
      talk.hold(limit, 0);
      talk.until('seek latched', 0.5, () => hasState(talk, STATE.seekLatched) || undefined);
      talk.until('rest', 1, () => (talk.last('status')?.paceLevel === 0 ? true : undefined));
      const status = talk.status();
      const place = { segment: status.seekBegun - 1, ticksLeft: status.seekTicksLeft };
      const late = stepsOf(segments, place).steps[0]! - made;
      if (talk.seesSteps()) assert.ok(late >= 0 && late <= 2, `${late} steps late`);
      assert.deepEqual(
        [status.latchedStop, status.paceTarget, status.state & (STATE.drivesOn | STATE.lost)],
        [0, 0, 0x01],
      );
      onPath(talk, segments, status);
      talk.refused(talk.pace(64), REASON.seek);
      talk.do({ name: 'seek', mask: limit, levels: 0, on: 1 });
      talk.do(talk.pace(64));
    },
  },
  {
    section: 4,
    needs: 'hands',
    rule: 'a limit that is not in the mask of a seek stops as ever',
    run(port) {
      const talk = seeking(port, BIT.index, BIT.index);
      talk.hold(limitOf(port), BIT.index);
      const status = stopIs(talk, STOP.limit);
      assert.equal(status.state & STATE.seekLatched, 0);
    },
  },
  {
    section: 4,
    rule: 'a seek for a level released, and for one of several inputs',
    run(port) {
      // The stroke limit is released as asked: found as soon as the walk begins.
      const talk = begins(port, BIT.index | BIT.strokeLow, BIT.index);
      talk.until('seek latched', 0.5, () => hasState(talk, STATE.seekLatched) || undefined);
      assert.equal(talk.status().latchedStop, 0);
    },
  },
  {
    section: 4,
    needs: 'hands',
    rule: 'a seek that is sent off ends, and its limit stops the walk again',
    run(port) {
      const limit = limitOf(port);
      const talk = seeking(port, limit, limit);
      talk.do({ name: 'seek', mask: limit, levels: limit, on: 0 });
      assert.equal(talk.status().state & 0x18, 0);
      talk.hold(limit, 0);
      talk.until('limit', 0.5, () => (talk.last('status')?.latchedStop === 4 ? true : undefined));
    },
  },
  {
    section: 4,
    needs: 'hands',
    rule: 'a seek for an input outside the first eight',
    run(port) {
      const talk = seeking(port, BIT.liftDown, BIT.liftDown);
      talk.hold(BIT.liftDown, 0);
      talk.until('seek latched', 0.5, () => hasState(talk, STATE.seekLatched) || undefined);
    },
  },
  {
    section: 7,
    boot: { released: 0 },
    rule: 'at boot the board volunteers its version and its firmware',
    run(port) {
      const talk = new Talk(port);
      talk.run(0.1);
      const [version, firmware] = talk.firmata;
      assert.deepEqual([...version!], [0xf9, 2, 8]);
      assert.deepEqual([...firmware!.subarray(0, 2)], [0xf0, 0x79]);
      const letters = firmware!.subarray(4, -1);
      const name = Array.from({ length: letters.length / 2 }, (_, i) => letters[2 * i]! | (letters[2 * i + 1]! << 7));
      assert.match(String.fromCharCode(...name), /^Wholeturn/);
    },
  },
  {
    section: 7,
    rule: 'version, firmware, capabilities and analog mapping are answered, also with a link open',
    run(port) {
      const talk = ready(port);
      talk.firmata.length = 0;
      talk.raw([0xf9, 0xf0, 0x79, 0xf7, 0xf0, 0x6b, 0xf7, 0xf0, 0x69, 0xf7]);
      talk.run(0.1);
      const ids = talk.firmata.map((message) => (message[0] === 0xf0 ? message[1] : message[0]));
      assert.deepEqual(ids.sort(), [0x6a, 0x6c, 0x79, 0xf9].sort());
      const capabilities = talk.firmata.find((message) => message[1] === 0x6c)!;
      const mapping = talk.firmata.find((message) => message[1] === 0x6a)!;
      const pins = capabilities.filter((byte) => byte === 0x7f).length;
      assert.ok(pins > 0);
      assert.ok(mapping.length - 3 <= pins, 'a longer mapping than pins throws in stock clients');
      assert.equal(talk.status().latchedStop, 0);
    },
  },
  {
    section: 7,
    rule: 'no standard message moves a motor, switches the drives or lowers the lap',
    run(port) {
      const talk = ready(port);
      talk.edges.length = 0;
      for (let pin = 0; pin < 0x70; pin++) talk.raw([0xf4, pin, 1, 0xf5, pin, pin & 1, 0xf5, pin, ~pin & 1]);
      for (let i = 0; i < 16; i++) talk.raw([0x90 | i, 0x7f, 1, 0xe0 | i, 0x7f, 0x7f, 0xd0 | i, 1, 0xc0 | i, 1]);
      talk.raw([0xf0, 0x6f, 3, 1, 1, 0xf7, 0xf0, 0x62, 0x02, 0, 1, 1, 1, 1, 1, 0xf7, 0xf0, 0x7a, 10, 0, 0xf7]);
      talk.run(0.3);
      talk.stepped(false);
      talk.drives(true);
      talk.lowers(false);
      const status = talk.status();
      assert.deepEqual([status.latchedStop, status.state & 0xc1], [0, 0x81]);
    },
  },
];
