/** The page of pins in hardware-notes/, made from the pin table as the C headers are. `npm run build` writes it. */
import { join } from 'node:path';
import type { Pin, PinBoard } from './pin-table';

export const PIN_PAGE = join(__dirname, '..', '..', 'hardware-notes', 'PINS.md');

const HEAD = [
  '# Pins',
  '',
  'Made from `firmware-host/controller/pins.json` by `npm run build`; change the table, not this page. Pin names are those printed on the usual carrier',
  'boards. How to wire them, and how a stand file turns pins round: [WIRING.md](WIRING.md).',
  '',
];

/** What the pin says and when. */
function meaning(pin: Pin): string {
  switch (pin.kind) {
    case 'output':
      return `output, on when ${pin.on}`;
    case 'input':
      return `input, asserted when ${pin.asserted}`;
    case 'accessory':
      return `accessory, number ${pin.firmataPin}`;
    case 'analog':
      return `analog, number ${pin.firmataPin}`;
  }
}

function table(pins: readonly Pin[]): string[] {
  const rows = pins.map((pin) => [
    pin.label,
    pin.port === 'ADC' ? `ADC${pin.bit}` : `P${pin.port}${pin.bit}`,
    pin.signal,
    meaning(pin),
    pin.words,
  ]);
  const all = [['pin', 'port', 'signal', 'kind', 'what for'], ...rows];
  const widths = all[0]!.map((_, column) => Math.max(...all.map((row) => row[column]!.length)));
  const line = (row: readonly string[]): string => `| ${row.map((cell, i) => cell.padEnd(widths[i]!)).join(' | ')} |`;
  return [line(all[0]!), line(widths.map((width) => '-'.repeat(width))), ...rows.map(line)];
}

export function pinPage(boards: readonly PinBoard[]): string {
  const chapters = boards.flatMap(({ board, chip, pins }) => [
    `## The ${board} board (${chip})`,
    '',
    ...table(pins),
    '',
  ]);
  return [...HEAD, ...chapters].join('\n');
}
