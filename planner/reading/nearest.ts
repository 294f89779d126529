/** "Did you mean": the known word nearest to a mistyped one. */

/** The nearest of `known`, or null when none is near enough to be meant (a third of the letters, at least two). */
export function nearest(word: string, known: readonly string[]): string | null {
  const limit = Math.max(2, Math.floor(word.length / 3));
  let best: string | null = null;
  let bestDistance = limit + 1;
  for (const candidate of known) {
    if (Math.abs(candidate.length - word.length) > limit) continue;
    const distance = editDistance(word.toLowerCase(), candidate.toLowerCase());
    // A word of two letters is within two edits of every other: something must be left of it.
    if (distance < bestDistance && distance < candidate.length) {
      best = candidate;
      bestDistance = distance;
    }
  }
  return best;
}

/** ` Did you mean "nudge"?` or nothing, to put behind a complaint. */
export function suggestion(word: string, known: readonly string[]): string {
  const near = nearest(word, known);
  return near === null ? '' : ` Did you mean "${near}"?`;
}

/** Levenshtein's distance: insertions, deletions and replacements of one letter. */
function editDistance(a: string, b: string): number {
  let row = Array.from({ length: b.length + 1 }, (_, index) => index);
  for (let i = 1; i <= a.length; i++) {
    const next = [i];
    for (let j = 1; j <= b.length; j++) {
      const replaced = (row[j - 1] as number) + (a[i - 1] === b[j - 1] ? 0 : 1);
      next.push(Math.min(replaced, (row[j] as number) + 1, (next[j - 1] as number) + 1));
    }
    row = next;
  }
  return row[b.length] as number;
}
