/** The virtual glass at the desk: when it may be read, and what is told of a run on it. */
import { describe, expect, it } from 'vitest';
import { planRun, type RunPlan } from '../../firmware-host/run/plan';
import type { RunState } from '../../firmware-host/run/types';
import { openRunDesk } from '../../firmware-host/server/run-desk';
import type { WorkbookCall } from '../../firmware-host/server/workbook-host';
import { VirtualGlasses } from '../../firmware-host/virtual/glass/glasses';
import { plainTruth } from '../../firmware-host/virtual/glass/truth';
import { VirtualGlass } from '../../firmware-host/virtual/glass/virtual-glass';
import { whatItDid } from '../../firmware-host/virtual/glass/what-it-did';
import { compileProgram } from '../../planner/steps/summary';
import { demoStand, program } from '../support/programs';
import { seeded } from '../support/random';
import { BARE_DESK, FakeHost } from './fake-host';

const walked = program([{ turns: 6 }]);
const plan = planRun(walked, demoStand) as RunPlan;

/** The glass before and after so many turns. */
function worn(turns: number) {
  const glass = new VirtualGlass(walked.glass, plainTruth(8e-13), (r) => (Math.abs(r - 90) < 20 ? 30 : 0));
  const before = glass.state;
  glass.walk(plan.path, walked.lap, 0, turns, 2.5);
  return { before, after: glass.state };
}

async function deskWith(state: RunState, iron = false) {
  const asked: WorkbookCall[] = [];
  const host = new FakeHost(state, worn(6));
  const shelf = { glasses: {}, laps: {}, slurries: {} };
  const summary = compileProgram(walked, demoStand).summary!;
  const glasses = new VirtualGlasses(seeded(2), 8e-13);
  const desk = await openRunDesk({
    ...BARE_DESK,
    first: { plan, shelf, summary, begin: () => Promise.resolve(host) },
    workbook: {
      ask: (call) => {
        asked.push(call);
        return Promise.resolve({ ok: true, text: 'readings' });
      },
      close: () => Promise.resolve(),
    },
    glassUnder: ({ program: { glass } }) => (iron ? null : glasses.of(glass)),
  });
  return { desk, host, asked };
}

const READ = { ask: 'readVirtualGlass', takes: 2, diameters: 3 } as const;

describe('reading it', () => {
  it.each<RunState>(['Stopped', 'Idle', 'Complete', 'Aborted'])(
    'is for the thread of measurements: %s',
    async (state) => {
      const { desk, asked } = await deskWith(state);
      expect(await desk.ask(READ)).toEqual({ ok: true, text: 'readings' });
      expect(asked).toMatchObject([{ ...READ, data: { glass: { id: 'glass-300' } } }]);
    },
  );

  it.each<RunState>(['Execute', 'Held', 'Suspended', 'Starting', 'Stopping'])(
    'has to wait while it is %s',
    async (state) => {
      const { desk, asked } = await deskWith(state);
      expect(await desk.ask(READ)).toMatchObject({ ok: false, words: expect.stringContaining('at work') });
      expect(asked).toEqual([]);
    },
  );

  it('is refused on a stand of iron', async () => {
    const { desk, asked } = await deskWith('Idle', true);
    expect(await desk.ask(READ)).toMatchObject({ ok: false, words: expect.stringContaining('your own tester') });
    expect(asked).toEqual([]);
  });
});

describe('what a run did to it', () => {
  it('is shown once the run has come to rest', async () => {
    const { desk, host } = await deskWith('Execute');
    expect(desk.view().virtualGlass).toBeNull();
    host.state = 'Complete';
    const { radiusMm, beforeNm, afterNm, words, glassTitle } = desk.view().virtualGlass!;
    expect(glassTitle).toBe(walked.glass.title);
    const at = radiusMm.indexOf(90);
    const { before, after } = worn(6);
    expect(beforeNm[at]! - afterNm[at]!).toBeCloseTo(before.heightNm[90]! - after.heightNm[90]!, 1);
    expect(words).toMatch(
      /^It took off most at (8|9)\d mm: \d nm\. From high to low .* was 30 nm and is \d+ nm now\.$/,
    );
  });

  it('is nothing where nothing was taken off', () => {
    expect(whatItDid(walked.glass, worn(0))).toBeNull();
  });

  it('says so where it left the glass out of round', () => {
    const { before } = worn(0);
    const glass = new VirtualGlass(walked.glass, plainTruth(8e-12), before);
    glass.walk(plan.path, walked.lap, 0, 0.5, 2.5);
    expect(whatItDid(walked.glass, { before, after: glass.state })!.words).toMatch(/left it tilted, by \d+ nm/);
  });
});
