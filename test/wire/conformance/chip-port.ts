/** An emulated chip with the image of the repository as a port of the conformance suite. */
import type { PinBoard } from '../../../firmware-host/controller/pin-table';
import { AvrChip } from '../../../firmware-host/virtual/chip/avr-chip';
import type { Edge, Port } from './port';

const LIFT_TRAVEL_TICKS = 4000;
const LIFT_UP = 0x200;
const LIFT_DOWN = 0x400;
const INPUTS = { reference: 0x1fff, small: 0x06ff } as const;

export function chipPort(board: PinBoard['board']): Port {
  const chip = new AvrChip(board);
  const sent: number[] = [];
  let edges: Edge[] = [];
  chip.onByte = (byte) => sent.push(byte);
  chip.onStep = (step, direction) => {
    for (let axis = 0; axis < chip.board.axes; axis++) {
      if ((step >> axis) & 1) edges.push({ tick: chip.ticks, axis, sense: (direction >> axis) & 1 ? -1 : 1 });
    }
  };
  let held = { asserted: 0, released: 0 };
  let liftAt = LIFT_TRAVEL_TICKS;
  const contacts = (): void => {
    const sensors = liftAt === LIFT_TRAVEL_TICKS ? LIFT_UP : liftAt === 0 ? LIFT_DOWN : 0;
    chip.setInputs((sensors | held.asserted) & ~held.released);
  };
  contacts();
  // A chip does not hear until its main loop runs; a host asks again until it does.
  chip.runTicks(100);
  return {
    board: chip.board.code,
    axes: chip.board.axes,
    inputs: INPUTS[board],
    limitsInSeries: board === 'small',
    latencyTicks: 0,
    bare: false,
    echo: { enable: 0, notLowered: 0 },
    now: () => chip.ticks,
    write: (bytes) => chip.write(bytes),
    run(ticks) {
      chip.runTicks(ticks);
      const goal = chip.isOn('lower') ? 0 : LIFT_TRAVEL_TICKS;
      liftAt = liftAt > goal ? Math.max(goal, liftAt - ticks) : Math.min(goal, liftAt + ticks);
      contacts();
      return Uint8Array.from(sent.splice(0));
    },
    hold(asserted, released) {
      held = { asserted, released };
      contacts();
    },
    settled: () => true,
    pins: {
      edges() {
        const drained = edges;
        edges = [];
        return drained;
      },
      drivesOn: () => chip.isOn('enable'),
      lowered: () => chip.isOn('lower'),
    },
  };
}
