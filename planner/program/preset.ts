/** What nobody needs to write in a program. */

/** The part of a stroke a clocking takes. */
export const CLOCKING_SHARE = 0.3;
/** How far the gearing may leave the rate. */
export const RATE_TOLERANCE = 0.1;

/**
 * "by hand" alone. A stint sees few hand clockings, so the angle must spread few places well: near the golden angle
 * of 137.5 degrees any number of places does (three-gap theorem), where steps of 40 need nine to come round. After
 * every 3 turns: often enough to matter, seldom enough to be borne. Our choice, no source.
 */
export const BY_HAND = { everyTurns: 3, byDeg: 140 } as const;
