/** The virtual board as a port of the conformance suite. */
import { VirtualBoard } from '../../../firmware-host/controller/wasm/load';
import type { Edge, Port } from './port';

const ALL_INPUTS = 0x17ff;
const LIFT_TRAVEL_TICKS = 4000;

export function virtualPort(): Port {
  const board = new VirtualBoard();
  board.fitLift(LIFT_TRAVEL_TICKS, LIFT_TRAVEL_TICKS / 4);
  board.recordSteps(true);
  board.boot(0x5eed);
  let lowered = false;
  return {
    board: 3,
    axes: 5,
    inputs: ALL_INPUTS,
    limitsInSeries: false,
    latencyTicks: 0,
    bare: false,
    echo: { enable: 0, notLowered: 0 },
    now: () => board.now,
    write: (bytes) => void board.write(bytes),
    run(ticks) {
      const before = board.liftAt;
      for (let left = ticks; left > 0; ) left -= board.run(left);
      if (board.liftAt !== before) lowered = board.liftAt < before;
      return board.read();
    },
    hold: (asserted, released) => board.force(asserted, released),
    settled: () => true,
    pins: {
      edges() {
        return board
          .drainSteps()
          .flatMap(({ tick, step, direction }) =>
            [0, 1, 2, 3, 4].flatMap((axis): Edge[] =>
              (step >> axis) & 1 ? [{ tick, axis, sense: (direction >> axis) & 1 ? -1 : 1 }] : [],
            ),
          );
      },
      drivesOn: () => board.drivesEnabled,
      lowered: () => lowered,
    },
  };
}
