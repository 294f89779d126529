/** Run control that stands in one state: the desk is tested without a stand. */
import type { RunSnapshot } from '../../firmware-host/run/snapshot';
import type { RunState } from '../../firmware-host/run/types';
import type { RunDeskOptions, RunHost } from '../../firmware-host/server/run-desk';
import type { WornGlass } from '../../firmware-host/virtual/glass/what-it-did';
import { FakeDesk } from './fake-desk';

export class FakeHost implements RunHost {
  closed = false;
  constructor(
    public state: RunState,
    private readonly worn: WornGlass | null = null,
  ) {}
  snapshot(): RunSnapshot {
    const { words, next, runId, stoodAtTurns, cutShort, air, paceTarget, virtual, standWords } = new FakeDesk().view();
    const { switchedOn, restsAtTurns } = new FakeDesk().view();
    const place = { ...new FakeDesk().tick(), secondsLeft: 0 };
    const view = { words, next, runId, stoodAtTurns, cutShort, air, paceTarget, virtual, standWords };
    return {
      ...view,
      ...place,
      state: this.state,
      switchedOn,
      restsAtTurns,
      latchedStop: null,
      linkLost: false,
      accessories: [],
    };
  }
  onChange = () => () => {};
  order = () => Promise.resolve({ ok: true as const });
  setPace = () => Promise.resolve({ ok: true as const });
  result = () => null;
  wornGlass = () => this.worn;
  readonly notKeptWhy: string[] = [];
  notKept = (why: string) => void this.notKeptWhy.push(why);
  close(): Promise<void> {
    this.closed = true;
    return Promise.resolve();
  }
}

/** A desk with nothing beside run control. */
export const BARE_DESK: Omit<RunDeskOptions, 'first'> = {
  find: () => 'none here',
  read: () => 'none here',
  speedFactor: 1,
  nowMs: () => 0,
  cautions: { names: () => [], acknowledge: () => {} },
  workbook: { ask: () => Promise.reject(new Error('not asked here')), close: () => Promise.resolve() },
  glassUnder: () => null,
};
