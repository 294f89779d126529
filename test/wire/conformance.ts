/**
 * The conformance suite: every rule of the controller's SPEC that can be seen from outside, one case each. It knows no board and
 * no test runner: a case takes a freshly booted port and throws where the rule is broken.
 */
import { DAMAGE_CASES } from './conformance/damage';
import { FRAME_CASES } from './conformance/frames';
import { INPUT_CASES } from './conformance/inputs';
import { LIFE_CASES } from './conformance/life';
import { PACE_CASES } from './conformance/pace';
import type { Case } from './conformance/port';
import { SEGMENT_CASES } from './conformance/segments';
import { STOP_CASES } from './conformance/stops';

export const CASES: readonly Case[] = [
  ...SEGMENT_CASES,
  ...PACE_CASES,
  ...FRAME_CASES,
  ...DAMAGE_CASES,
  ...STOP_CASES,
  ...LIFE_CASES,
  ...INPUT_CASES,
].sort((a, b) => a.section - b.section);
