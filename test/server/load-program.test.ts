/** A program planned on a page: what the door lets in, and what the desk does with it. */
import { describe, expect, it } from 'vitest';
import { planRun, type RunPlan } from '../../firmware-host/run/plan';
import type { RunState } from '../../firmware-host/run/types';
import { FOR_EVERYONE, LARGEST_PROGRAM_BYTES, readRequest } from '../../firmware-host/server/requests';
import { openRunDesk, type Walkable } from '../../firmware-host/server/run-desk';
import { compileProgram } from '../../planner/steps/summary';
import { demoStand, program } from '../support/programs';
import { BARE_DESK, FakeHost } from './fake-host';

describe('the door', () => {
  const ask = (text: unknown) => readRequest({ ask: 'loadProgram', text });

  it('lets a text in up to its size in bytes, however its letters are encoded', () => {
    expect(ask('x'.repeat(LARGEST_PROGRAM_BYTES))).toMatchObject({ ask: 'loadProgram' });
    expect(ask('x'.repeat(LARGEST_PROGRAM_BYTES + 1))).toMatch(/at most 12000 bytes/);
    expect(ask('µ'.repeat(LARGEST_PROGRAM_BYTES / 2))).toMatchObject({ ask: 'loadProgram' });
    expect(ask('µ'.repeat(LARGEST_PROGRAM_BYTES / 2 + 1))).toMatch(/at most 12000 bytes/);
  });

  it.each([[''], [null], [7], [['x']], [undefined]])('keeps %j out', (text) => {
    expect(ask(text)).toMatch(/did not understand/);
  });

  it('opens for the page in control only', () => {
    expect(FOR_EVERYONE.has('loadProgram')).toBe(false);
  });
});

describe('the desk', () => {
  const shelf = { glasses: {}, laps: {}, slurries: {} };
  const walkable = (title: string, host: FakeHost): Walkable => {
    const written = program([{}], { title });
    return {
      plan: planRun(written, demoStand) as RunPlan,
      shelf,
      summary: compileProgram(written, demoStand).summary!,
      begin: () => Promise.resolve(host),
    };
  };

  async function deskIn(state: RunState, read: (text: string, like: Walkable) => Walkable | string) {
    const first = new FakeHost(state);
    const desk = await openRunDesk({
      ...BARE_DESK,
      first: walkable('First', first),
      read,
    });
    return { desk, first };
  }

  it('tells that a row was not kept, and leaves what becomes of the walk to run control', async () => {
    const { desk, first } = await deskIn('Execute', () => 'none here');
    desk.notKept('database or disk is full');
    expect(first.notKeptWhy).toEqual(['database or disk is full']);
    expect(desk.view().happened.at(-1)?.words).toBe(
      'The logbook could not be written: database or disk is full. Rows are kept in memory until there is room on the disc.',
    );
  });

  it('reads the text on the shelf and stand of what is loaded, and has it loaded instead', async () => {
    const next = new FakeHost('Idle');
    const seen: unknown[] = [];
    const { desk, first } = await deskIn('Idle', (text, like) => {
      seen.push(text, like.plan.program.title, like.shelf);
      return walkable('Second', next);
    });
    expect(await desk.ask({ ask: 'loadProgram', text: 'a program' })).toEqual({ ok: true });
    expect(seen).toEqual(['a program', 'First', shelf]);
    expect(first.closed).toBe(true);
    expect(next.closed).toBe(false);
    expect(desk.view().loaded?.program.title).toBe('Second');
    expect(desk.view().happened.at(-1)?.words).toBe('Loaded "Second".');
  });

  it('gives complaints back in words and keeps what it has', async () => {
    const { desk, first } = await deskIn('Stopped', () => 'The setting is off the glass.');
    const answer = await desk.ask({ ask: 'loadProgram', text: 'x' });
    expect(answer).toEqual({ ok: false, words: 'The setting is off the glass.' });
    expect(first.closed).toBe(false);
    expect(desk.view().loaded?.program.title).toBe('First');
  });

  it.each<RunState>(['Execute', 'Held', 'Suspended', 'Starting'])(
    'does not even read it while it is %s',
    async (state) => {
      const { desk } = await deskIn(state, () => {
        throw new Error('read');
      });
      expect(await desk.ask({ ask: 'loadProgram', text: 'x' })).toMatchObject({ ok: false });
    },
  );

  it('goes on with the program before where the new one cannot be begun', async () => {
    const again = new FakeHost('Idle');
    let begun = 0;
    const first: Walkable = {
      ...walkable('First', again),
      begin: () => Promise.resolve(begun++ === 0 ? new FakeHost('Idle') : again),
    };
    const desk = await openRunDesk({
      ...BARE_DESK,
      first,
      read: () => ({
        ...walkable('Second', again),
        begin: () => Promise.reject(new Error('the stand does not answer')),
      }),
    });
    const answer = await desk.ask({ ask: 'loadProgram', text: 'a program' });
    expect(answer).toEqual({ ok: false, words: '"Second" cannot be begun: the stand does not answer' });
    expect(begun).toBe(2);
    expect(desk.view().loaded?.program.title).toBe('First');
    expect(await desk.ask({ ask: 'stop' })).toEqual({ ok: true });
  });
});
