/** What a browser keeps for a person between visits, as JSON under a name; what comes out of it may be anything. */

/** As much of the browser's storage as is needed. */
export interface Drawer {
  getItem(key: string): string | null;
  setItem(key: string, value: string): void;
}

export function put(name: string, value: object, drawer: Drawer): void {
  try {
    drawer.setItem(name, JSON.stringify(value));
  } catch {
    // A full or forbidden storage costs nothing but this convenience.
  }
}

/** Null where there is nothing or no JSON. */
export function lookUp(name: string, drawer: Drawer): unknown {
  try {
    return JSON.parse(drawer.getItem(name) ?? 'null');
  } catch {
    return null;
  }
}

/** Whether it has all fields of the other, each of the same type; null stands for any type. */
export function isAlike<T extends object>(value: unknown, like: T): value is T {
  if (typeof value !== 'object' || value === null) return false;
  return Object.entries(like).every(([key, one]) => {
    const other = (value as Record<string, unknown>)[key];
    if (one === null || other === null) return other !== undefined && (one === null || typeof one === 'object');
    return typeof other === typeof one && Array.isArray(other) === Array.isArray(one);
  });
}
