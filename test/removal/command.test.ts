/** `wholeturn predict`: one JSON object or words, exit 1 with the place for bad input. */
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { predict } from '../../firmware-host/cli/predict';
import type { Prediction } from '../../planner/removal/types';
import { wholeturn } from '../cli/support';

const EXAMPLE = 'planner/examples/short-check.yaml';

const run = (...args: string[]) => wholeturn(['predict', ...args], '', { environment: {} }, { predict: () => predict });

describe('wholeturn predict', () => {
  it('--json prints one object with the fields others rely on', async () => {
    const { code, out, err } = await run(EXAMPLE, '--json');
    expect([code, err]).toEqual([0, '']);
    const found = JSON.parse(out) as Prediction;
    for (const field of [
      'radiusMm',
      'removalNm',
      'harmonics',
      'stints',
      'bandShare',
      'lapPatternNm',
      'rippleNm',
      'peakNm',
      'warnings',
    ])
      expect(found).toHaveProperty(field);
    for (const field of [
      'innerRim',
      'middle',
      'outerRim',
      'contactSpanMm',
      'width90Mm',
      'reversals',
      'centroidMm',
      'clockingMisfitNm',
    ])
      expect(found.stints[0]).toHaveProperty(field);
  });

  it('says in words what comes off and that the coefficient is not learned', async () => {
    const { code, out } = await run(EXAMPLE);
    expect(code).toBe(0);
    expect(out).toMatch(/takes off \d+\.\d nm at most/);
    expect(out).toMatch(/not learned/);
    expect((await run(EXAMPLE, '--k', '1e-12')).out).not.toMatch(/not learned/);
  });

  it('goes in proportion with --k and stops at --until', async () => {
    const peak = async (...args: string[]): Promise<number> =>
      (JSON.parse((await run(EXAMPLE, '--json', ...args)).out) as Prediction).peakNm;
    const base = await peak('--k', '1e-12');
    expect((await peak('--k', '3e-12')) / base).toBeCloseTo(3, 9);
    expect(await peak('--k', '1e-12', '--until', '2')).toBeLessThan(base);
  });

  it('--report writes the page', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'forecast-'));
    try {
      const { code } = await run(EXAMPLE, '--report', folder);
      expect(code).toBe(0);
      expect(readFileSync(join(folder, 'short-check-forecast.html'), 'utf8')).toMatch(/^<!doctype html>/);
    } finally {
      rmSync(folder, { recursive: true });
    }
  });

  it.each([
    [['--k', 'much'], /--k wants/],
    [['--k=-1e-12'], /above 0/],
    [['--until', '0'], /--until wants/],
    [['--zone', '90 mm'], /two radii/],
    [['--zone', '100 mm to 80 mm'], /smaller first/],
  ])('%s is a complaint', async (args, words) => {
    const { code, out, err } = await run(EXAMPLE, ...args);
    expect([code, out]).toEqual([1, '']);
    expect(err).toMatch(words);
  });
});
