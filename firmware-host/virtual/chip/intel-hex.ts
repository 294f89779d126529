/** Reads an Intel HEX image (record types 00, 01, 02 and 04) into flash; throws with the line that is wrong. */
export function readIntelHex(text: string, flashBytes: number): Uint8Array {
  const flash = new Uint8Array(flashBytes).fill(0xff);
  let base = 0;
  const lines = text.split(/\r?\n/);
  for (const [index, line] of lines.entries()) {
    if (line === '') continue;
    const record = recordOf(line, index + 1);
    const type = record[3]!;
    const data = record.slice(4, -1);
    const word = ((data[0] ?? 0) << 8) | (data[1] ?? 0);
    if (type === 1) return flash;
    if (type === 2) base = word << 4;
    else if (type === 4) base = word << 16;
    else if (type === 0) {
      const at = base + ((record[1]! << 8) | record[2]!);
      if (at + data.length > flashBytes) throw new Error(`HEX line ${index + 1}: beyond the flash of this chip`);
      flash.set(data, at);
    }
  }
  throw new Error('HEX: no end record; the file is cut off');
}

function recordOf(line: string, number: number): number[] {
  if (!/^:([0-9A-Fa-f]{2}){5,}$/.test(line)) throw new Error(`HEX line ${number}: not a record`);
  const bytes = line
    .slice(1)
    .match(/../g)!
    .map((pair) => Number.parseInt(pair, 16));
  if (bytes.length !== bytes[0]! + 5) throw new Error(`HEX line ${number}: its length is wrong`);
  if (bytes.reduce((sum, byte) => sum + byte, 0) & 0xff) throw new Error(`HEX line ${number}: its sum is wrong`);
  return bytes;
}
