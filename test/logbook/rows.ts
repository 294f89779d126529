import type { Checkpoint, NewRun } from '../../firmware-host/logbook/logbook';

export function aRun(changes: Partial<NewRun> = {}): NewRun {
  return {
    id: 'run-1',
    virtual: true,
    kind: 'rehearsal',
    air: false,
    title: 'Ease a raised ring',
    programFile: 'ring.yaml',
    programText: 'wholeturn: 1\n',
    recipe: { lap: 'star-80' },
    stand: 'Virtual stand',
    plannedTurns: 40,
    plannedSeconds: 960,
    startedMs: 1_700_000_000_000,
    ...changes,
  };
}

export function aCheckpoint(changes: Partial<Checkpoint> = {}): Checkpoint {
  return {
    atMs: 1_700_000_001_000,
    state: 'Execute',
    turnsWalked: 14.37,
    steps: { turntable: 2_078_484, stroke: -1200, radial: 7200, lapTurn: 96 },
    pace: 1,
    lift: 'down',
    bootId: 7,
    mark: null,
    doubtTurns: null,
    ...changes,
  };
}
