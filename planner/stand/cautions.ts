/** What everybody reads before their first real run: on the Run page, at the terminal, and in hardware-notes/CAUTIONS.md. */
export const CAUTIONS: readonly string[] = [
  'Parts move by themselves and can pinch. Keep hands, hair, sleeves and cloths away while drives are on; fit guards.',
  'Mains and motor supplies can kill. Wiring, earthing and protection follow your local code and are a qualified person’s work.',
  'Polishing and grinding dust harms lungs. Work wet, wipe up, never let it dry and fly; wear what your local rules ask for.',
  'Glass is heavy and breaks. Retain it with a little play, never clamp it; lift larger pieces with two people.',
  'Stop on a screen is a request to a program over a cable. It is no emergency stop and no safety function. A hard-wired latching emergency stop that removes motor power without this computer comes first.',
];
