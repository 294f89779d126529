/** What a case of the campaign needs of its stand: the WebAssembly core's and an emulated chip's both do it. */
import type { BytePipe } from '../../firmware-host/stand/byte-pipe';
import type { SimulatedStand } from '../../firmware-host/virtual/simulated-stand';
import type { VirtualStand } from '../../firmware-host/virtual/virtual-stand';

export interface FaultyStand
  extends SimulatedStand,
    Pick<VirtualStand, 'truth' | 'onMotion' | 'force' | 'slip' | 'push' | 'stickLift' | 'reboot'> {
  readonly pipe: BytePipe;
}
