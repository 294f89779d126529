/**
 * The logbook's tables. MIGRATIONS[n] brings schema n to n + 1; a released one is never edited, only followed by another. Every
 * table carries `virtual`: whatever did not happen on real iron says so in each row.
 */
export const MIGRATIONS: readonly string[] = [
  `
  CREATE TABLE runs (
    id TEXT PRIMARY KEY,
    virtual INTEGER NOT NULL,
    kind TEXT NOT NULL,
    title TEXT NOT NULL,
    program_file TEXT NOT NULL,
    program_text TEXT NOT NULL,
    recipe TEXT NOT NULL,
    stand TEXT NOT NULL,
    planned_turns INTEGER NOT NULL,
    planned_seconds REAL NOT NULL,
    process INTEGER NOT NULL,
    started_ms INTEGER NOT NULL,
    ended_ms INTEGER,
    state TEXT NOT NULL,
    report TEXT
  );
  CREATE INDEX runs_by_start ON runs (started_ms);

  CREATE TABLE checkpoints (
    run TEXT NOT NULL REFERENCES runs (id),
    number INTEGER NOT NULL,
    virtual INTEGER NOT NULL,
    at_ms INTEGER NOT NULL,
    state TEXT NOT NULL,
    turns_walked REAL NOT NULL,
    steps TEXT NOT NULL,
    pace REAL NOT NULL,
    lift TEXT NOT NULL,
    boot_id INTEGER NOT NULL,
    PRIMARY KEY (run, number)
  ) WITHOUT ROWID;

  CREATE TABLE events (
    id INTEGER PRIMARY KEY,
    run TEXT REFERENCES runs (id),
    virtual INTEGER NOT NULL,
    at_ms INTEGER NOT NULL,
    turns_walked REAL,
    kind TEXT NOT NULL,
    words TEXT NOT NULL
  );
  CREATE INDEX events_by_run ON events (run);

  CREATE TABLE cautions (
    name TEXT PRIMARY KEY,
    virtual INTEGER NOT NULL,
    at_ms INTEGER NOT NULL
  ) WITHOUT ROWID;
  `,
  `
  CREATE TABLE evidence (
    run TEXT NOT NULL,
    virtual INTEGER NOT NULL,
    at_ms INTEGER NOT NULL,
    lap TEXT NOT NULL,
    slurry TEXT NOT NULL,
    glass TEXT NOT NULL,
    minutes REAL NOT NULL,
    evidence TEXT NOT NULL,
    PRIMARY KEY (run, virtual)
  ) WITHOUT ROWID;
  CREATE INDEX evidence_by_recipe ON evidence (lap, slurry, glass);
  `,
  `
  CREATE TABLE measurements (
    id INTEGER PRIMARY KEY,
    virtual INTEGER NOT NULL,
    at_ms INTEGER NOT NULL,
    glass TEXT NOT NULL,
    text TEXT NOT NULL
  );
  `,
  `
  ALTER TABLE runs ADD COLUMN air INTEGER NOT NULL DEFAULT 0;
  ALTER TABLE checkpoints ADD COLUMN mark TEXT;
  `,
  'ALTER TABLE checkpoints ADD COLUMN doubt_turns REAL;',
];
