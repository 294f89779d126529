/** What a forecast takes for granted until runs have taught something better. */

/**
 * Preston's coefficient of pitch and cerium oxide, 1/Pa. The middle is 20 micrometres an hour at 1 psi and 1 m/s, published for
 * borosilicate under a 1.2 m pitch lap ("Development and Results for Stressed-lap Polishing of Large Telescope Mirrors", Optical
 * Fabrication and Testing 2014, OTh2B.4); the upper end was published for fused silica under favourable conditions ("Removal rates of
 * fused silica with cerium oxide/pitch polishing"), ten times what was known before it, which is the lower end.
 */
export const REMOVAL_COEFFICIENT = { least: 1.6e-13, usual: 8.06e-13, most: 1.6e-12 } as const;

export const COEFFICIENT_CAVEAT =
  'Published for borosilicate under a large pitch lap; yours differs: a test run tells.';
