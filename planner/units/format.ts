/**
 * Quantities as people read them: rounded, with their unit. Nothing reads these back; for files see `writeQuantity`.
 */

export type LengthSystem = 'mm' | 'inch';

export const MM_PER_INCH = 25.4;

/** `118 mm` or `4.65 in`; at most `decimals` places (1 for mm, 2 for inches), without trailing zeros. */
export function formatLength(lengthMm: number, system: LengthSystem, decimals = system === 'mm' ? 1 : 2): string {
  return system === 'mm' ? `${rounded(lengthMm, decimals)} mm` : `${rounded(lengthMm / MM_PER_INCH, decimals)} in`;
}

/** `48 s`, `4 min 24 s`, `2 h 5 min`: whole seconds below an hour, whole minutes above. */
export function formatDuration(durationSeconds: number): string {
  const seconds = Math.round(durationSeconds);
  if (seconds < 60) return `${seconds} s`;
  if (seconds < 3600) return joined(Math.floor(seconds / 60), 'min', seconds % 60, 's');
  const minutes = Math.round(seconds / 60);
  return joined(Math.floor(minutes / 60), 'h', minutes % 60, 'min');
}

function joined(large: number, largeUnit: string, small: number, smallUnit: string): string {
  return small === 0 ? `${large} ${largeUnit}` : `${large} ${largeUnit} ${small} ${smallUnit}`;
}

function rounded(value: number, decimals: number): string {
  // Through Number once more, so that 118.0 shows as 118 and a negative nothing as 0.
  return String(Number(value.toFixed(decimals)) + 0);
}
