/** Short walks on a stand of few steps and short ways, with an emulated chip for its controller. */
import type { PinBoard } from '../../firmware-host/controller/pin-table';
import { ChipStand } from '../../firmware-host/virtual/chip-stand';
import type { Bench } from '../run/stop-rows';
import { campaignStand, LEFT_STANDING, QUICK, RPM } from './world';

/** `bytesLost`: received bytes that the chips made so far overwrote before their image read them. */
export function shortChipBench(board: PinBoard['board']): { bench: Bench; bytesLost(): number } {
  const made: ChipStand[] = [];
  const bench: Bench = {
    stand: campaignStand,
    start: LEFT_STANDING,
    turntableRpm: RPM,
    stint: QUICK,
    make(stand, start) {
      const chip = new ChipStand({ stand, start, board });
      made.push(chip);
      return chip;
    },
  };
  return { bench, bytesLost: () => made.reduce((sum, chip) => sum + chip.bytesLost, 0) };
}
