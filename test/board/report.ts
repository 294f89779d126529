/** What was held against the SPEC on one board, as a page of Markdown that is kept beside a stand's papers. */
import { closeSync, openSync, writeFileSync } from 'node:fs';

export const CLASSES = {
  wire: 'over the line alone',
  hands: "with a person's hands at the contacts",
  instrument: 'read off an instrument',
  emulation: 'only an emulated board can show it',
} as const;
export type Class = keyof typeof CLASSES;

export const RESULTS = ['passed', 'failed', 'not done', 'not reached', 'not checked on a board'] as const;
export type Result = (typeof RESULTS)[number];

export interface Row {
  section: number;
  rule: string;
  class: Class;
  result: Result;
  /** Numbers measured, outputs nobody saw. */
  remarks: string[];
  /** Why it failed; empty where it did not. */
  why: string;
}

export interface Subject {
  /** What the board calls itself, and what its firmware does. */
  board: string;
  firmware: string;
  port: string;
  imageHash: string;
  /** Empty where nobody gave one. */
  person: string;
  /** When it began, local time of the computer, as it is to be shown. */
  begun: string;
  version: string;
}

export class Report {
  readonly rows: Row[];
  /** Facts of the session: the line, the board's clock, the wires. */
  readonly facts: string[] = [];
  /** All steps were gone through. */
  complete = false;
  private ending = 'It is still under way, or this computer failed.';

  constructor(
    readonly subject: Subject,
    rows: readonly Pick<Row, 'section' | 'rule' | 'class'>[],
    private readonly keep: (text: string) => void,
  ) {
    this.rows = rows.map((row) => ({
      ...row,
      result: row.class === 'emulation' ? 'not checked on a board' : 'not reached',
      remarks: [],
      why: '',
    }));
  }

  /** Kept after every step, so that whatever ends the session leaves what was found. */
  save(): void {
    this.keep(this.text());
  }

  set(place: number, result: Result, remarks: readonly string[] = [], why = ''): void {
    const row = this.rows[place]!;
    row.result = result;
    row.remarks = [...remarks];
    row.why = why;
    this.save();
  }

  end(words: string, complete = false): void {
    this.ending = words;
    this.complete = complete;
    this.save();
  }

  count(result: Result, ofClass?: Class): number {
    return this.rows.filter((row) => row.result === result && (ofClass ?? row.class) === row.class).length;
  }

  text(): string {
    const { subject } = this;
    const counts = (Object.keys(CLASSES) as Class[]).map((name) => [
      CLASSES[name],
      ...RESULTS.map((result) => `${this.count(result, name)}`),
    ]);
    const total = ['in all', ...RESULTS.map((result) => `${this.count(result)}`)];
    const failures = this.rows.filter((row) => row.result === 'failed');
    return [
      '# Controller board held against its SPEC',
      '',
      '**No safety function was tested.** Neither this suite nor what it found says anything of how safe a stand is: not its',
      'emergency stop, its guards, its wiring, or that it stops when it must. The bare board lay on a table, without drives.',
      '',
      ...table(
        ['', ''],
        [
          ['board', subject.board],
          ['firmware', subject.firmware],
          ['image', subject.imageHash],
          ['port', subject.port],
          ['held against', `SPEC of Wholeturn ${subject.version}`],
          ['begun', subject.begun],
          ['person', subject.person === '' ? 'not named' : subject.person],
          ['ended', this.ending],
        ],
      ),
      '',
      ...this.facts.map((fact) => `- ${fact}`),
      '',
      '## Counts',
      '',
      ...table(['', ...RESULTS], [...counts, total]),
      '',
      '"Not done" was left out by the person; "not reached" came after the end of the session. Outputs that nobody saw in a case that passed stand',
      'beside it: the rest of its rule held.',
      '',
      ...(failures.length === 0 ? [] : ['## Failed', '', ...failures.map(failureLine), '']),
      ...(Object.keys(CLASSES) as Class[]).flatMap((name) => this.chapter(name)),
    ].join('\n');
  }

  private chapter(name: Class): string[] {
    const rows = this.rows.filter((row) => row.class === name);
    if (rows.length === 0) return [];
    const lines = rows.map((row) => [`${row.section}`, row.rule, row.result, row.remarks.join('; ')]);
    const head = `## ${name === 'emulation' ? 'Not checked on a board' : `Checked ${CLASSES[name]}`}`;
    const why =
      name === 'emulation'
        ? ['Single steps and ticks: held on the core in WebAssembly and on both emulated chips only.', '']
        : [];
    return [head, '', ...why, ...table(['section', 'rule', 'result', 'remarks'], lines), ''];
  }
}

function failureLine({ section, rule, why }: Row): string {
  return `- Section ${section}: ${oneLine(rule)}. What was seen: ${oneLine(why)}`;
}

function table(head: readonly string[], rows: readonly (readonly string[])[]): string[] {
  const line = (cells: readonly string[]): string => `| ${cells.map(oneLine).join(' | ')} |`;
  return [line(head), line(head.map(() => '---')), ...rows.map(line)];
}

/** Whatever a device, a person or an assertion said, fit for a cell of a table. */
function oneLine(text: string): string {
  return text.replace(/\s+/g, ' ').replaceAll('|', '/').trim();
}

/** Takes a new file for the report; throws where one is there already. Returns how to write it, from its beginning, each time. */
export function newFile(path: string): (text: string) => void {
  closeSync(openSync(path, 'wx'));
  return (text) => writeFileSync(path, text);
}
