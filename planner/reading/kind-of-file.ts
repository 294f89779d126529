/** Which of the files a person writes a text seems to be, by the keys at its top: told at once where another one was wanted. */
import { isMap, isScalar, type Node } from 'yaml';

/** Keys that stand at the top of one kind alone. */
const ALONE: Readonly<Record<FileKind, readonly string[]>> = {
  'a stroke program': ['do', 'turntable', 'rate'],
  'a stand': ['axes', 'lift', 'hostSilent', 'indexTolerance', 'tick', 'ramp'],
  'a shelf': ['glasses', 'laps', 'slurries'],
  'a measurement': ['measurement'],
};
/** Keys of several kinds, or too plain a word to tell one. */
const SHARED = ['wholeturn', 'title', 'name', 'glass', 'lap'];

export type FileKind = 'a stroke program' | 'a stand' | 'a shelf' | 'a measurement';
const KINDS = Object.keys(ALONE) as FileKind[];

/** The kind it seems to be, when that is another than the one wanted; null where it may be the wanted one. */
export function otherKind(root: Node, wanted: FileKind): FileKind | null {
  if (!isMap(root)) return null;
  const keys = new Set(root.items.map(({ key }) => (isScalar(key) ? key.value : null)));
  const seems = (kind: FileKind): boolean => ALONE[kind].some((key) => keys.has(key));
  return seems(wanted) ? null : (KINDS.find(seems) ?? null);
}

/** Whether a line of a text that does not parse begins with a key of any of the files; else it is something else altogether. */
export function hasKeyOfOurs(text: string): boolean {
  const keys = [...SHARED, ...Object.values(ALONE).flat()].join('|');
  return new RegExp(`^[\\s{"']*(${keys})["']?\\s*:`, 'm').test(text);
}
