import { describe, expect, test } from 'vitest';
import { type Procedure, ProcedureRunner, Trouble, until } from '../../firmware-host/run/procedure';
import type { StandStatus } from '../../firmware-host/stand/stand-link';

/** Procedures look at what they wait for only; here it is the stand's clock. */
const at = (clockSeconds: number): StandStatus => ({ clockSeconds }) as StandStatus;
const reaches = (seconds: number, within = 5) =>
  until((status) => status.clockSeconds >= seconds, within, `no ${seconds}`);

function outcome() {
  const told: string[] = [];
  return { told, done: () => told.push('done'), trouble: (words: string) => told.push(words) };
}

describe('a procedure', () => {
  test('goes on report by report, and past what is true already at once', () => {
    let now = 0;
    const runner = new ProcedureRunner(() => now);
    const out = outcome();
    const seen: number[] = [];
    function* steps(): Procedure {
      for (const seconds of [1, 2, 3]) seen.push((yield* reaches(seconds)).clockSeconds);
    }
    runner.start(steps(), at(0), out);
    expect([seen, runner.busy]).toEqual([[], true]);
    runner.report(at(2.5));
    expect(seen).toEqual([2.5, 2.5]);
    now = 1;
    runner.report(at(3));
    expect([seen, out.told, runner.busy]).toEqual([[2.5, 2.5, 3], ['done'], false]);
  });

  test('that waits too long ends in trouble, once, with its words', async () => {
    let now = 0;
    const runner = new ProcedureRunner(() => now);
    const out = outcome();
    runner.start(reaches(9, 5) as unknown as Procedure, at(0), out);
    now = 5.1;
    runner.report(at(1));
    runner.report(at(1));
    await Promise.resolve();
    expect(out.told).toEqual(['no 9']);
    runner.report(at(9));
    expect(out.told).toEqual(['no 9']);
  });

  test('is not late for an answer that was on its way before the time was over', async () => {
    let now = 0;
    const runner = new ProcedureRunner(() => now);
    const out = outcome();
    let answered = false;
    let answer = (): void => {};
    const promised = new Promise<void>((resolve) => {
      answer = resolve;
    }).then(() => {
      answered = true;
    });
    runner.start(until(() => answered, 1, 'late') as unknown as Procedure, at(0), out);
    answer();
    // Seconds of the stand's time go by in one piece of this thread's.
    now = 10;
    runner.report(at(10));
    await promised;
    await Promise.resolve();
    expect(out.told).toEqual(['done']);
  });

  test('that is replaced leaves nothing behind', async () => {
    let now = 0;
    const runner = new ProcedureRunner(() => now);
    const [first, second] = [outcome(), outcome()];
    let tidied = false;
    function* tidy(): Procedure {
      try {
        yield* reaches(9, 1);
      } finally {
        tidied = true;
      }
    }
    runner.start(tidy(), at(0), first);
    now = 2;
    runner.report(at(1));
    runner.start(reaches(3) as unknown as Procedure, at(1), second);
    await Promise.resolve();
    expect(tidied).toBe(true);
    runner.report(at(3));
    expect([first.told, second.told]).toEqual([[], ['done']]);
  });

  test('whose own step fails ends in trouble', () => {
    const runner = new ProcedureRunner(() => 0);
    const out = outcome();
    function* fails(): Procedure {
      yield* reaches(1);
      throw new Trouble('a search that did not find the index');
    }
    runner.start(fails(), at(0), out);
    runner.report(at(1));
    expect(out.told).toEqual(['a search that did not find the index']);
  });
});
