/** Numbers as a person reads them. Lengths are mm inside; what is shown follows the person's choice. */
export type LengthUnit = 'mm' | 'in';

const MM_PER_INCH = 25.4;

export function lengthWords(mm: number, unit: LengthUnit): string {
  return unit === 'mm' ? `${trim(mm, 1)} mm` : `${trim(mm / MM_PER_INCH, 2)} in`;
}

function trim(value: number, digits: number): string {
  return String(Number(value.toFixed(digits)));
}

/** "7:05" (minutes and seconds), from an hour on "2 h 05 min". */
export function durationWords(seconds: number): string {
  const whole = Math.max(0, Math.ceil(seconds));
  const hours = Math.floor(whole / 3600);
  const minutes = Math.floor((whole % 3600) / 60);
  if (hours > 0) return `${hours} h ${String(minutes).padStart(2, '0')} min`;
  return `${minutes}:${String(whole % 60).padStart(2, '0')}`;
}

/** With its unit: "7:05 min", "2 h 05 min". */
export function timeWords(seconds: number): string {
  const words = durationWords(seconds);
  return words.endsWith('min') ? words : `${words} min`;
}

/** The same for a screen reader: "7 minutes 5 seconds". */
export function spokenDuration(seconds: number): string {
  const whole = Math.max(0, Math.ceil(seconds));
  const parts: string[] = [];
  const add = (count: number, word: string): void => {
    if (count > 0) parts.push(`${count} ${word}${count === 1 ? '' : 's'}`);
  };
  add(Math.floor(whole / 3600), 'hour');
  add(Math.floor((whole % 3600) / 60), 'minute');
  if (whole < 3600) add(whole % 60, 'second');
  return parts.length > 0 ? parts.join(' ') : 'no time';
}

export function turnsWords(turns: number): string {
  return turns.toFixed(2);
}

export function plural(count: number, word: string): string {
  return `${count} ${word}${count === 1 ? '' : 's'}`;
}
