/**
 * A session with a board on a table: from what has to be fitted to the last case. Each step says what happens, what to do and what is
 * expected; the person may leave any out. Whatever ends it leaves the drives asked off.
 */
import { Heard, WHO_ARE_YOU } from '../../firmware-host/stand/serial/heard';
import { StreamSplitter } from '../../firmware-host/wire/splitter';
import { type Case, TICK_HZ } from '../wire/conformance/port';
import { SLICE_TICKS, Talk } from '../wire/conformance/talk';
import { type BareBoard, BarePort } from './bare-port';
import { ask, type Bench, BoardLost, Interrupted, LeftOut, LineGone } from './bench';
import { READINGS, type Reading } from './readings';
import type { Class, Report, Row } from './report';
import { Wires } from './wires';

/** Longest wait for a board that boots: boot loaders wait up to two seconds for a new image. */
const BOOT_SECONDS = 5;
const ROUND_TRIPS = 20;
/** A few questions do not show the line at its worst. */
const LATENCY_RESERVE = 1.5;
const CLOCK_SECONDS = 2;
/** Of why a case failed the terminal shows so much, the report all. */
const SHOWN_LETTERS = 300;
/** A link apart from those of the cases. */
const BETWEEN_LINK = 15_000;

type Step = { row: number } & ({ kind: 'case'; one: Case } | { kind: 'reading'; one: Reading });

export const classOf = (one: Case): Class => one.needs ?? 'wire';

/** What the report will have a row for. */
export function rowsOf(cases: readonly Case[]): Pick<Row, 'section' | 'rule' | 'class'>[] {
  return [
    ...cases.map((one) => ({ section: one.section, rule: one.rule, class: classOf(one) })),
    ...READINGS.map(({ section, rule }) => ({ section, rule, class: 'instrument' as const })),
  ];
}

export class Session {
  private readonly port: BarePort;
  private readonly wires: Wires;
  private resets = true;

  constructor(
    private readonly bench: Bench,
    private readonly board: BareBoard,
    private readonly cases: readonly Case[],
    private readonly report: Report,
  ) {
    this.wires = new Wires(board.pins);
    this.port = new BarePort(bench, board, this.wires);
  }

  /** Never throws for what a board, a line or a person may do; the report then says how far it got. */
  run(): void {
    const { report, bench } = this;
    report.save();
    try {
      this.fitWires();
      this.measureLine();
      this.measureClock();
      this.steps();
      report.end('All steps were gone through.', true);
    } catch (error) {
      const words = endingWords(error);
      if (words === null) throw error;
      report.end(words);
      bench.tell(`\n${words}\n`);
    } finally {
      this.farewell();
    }
  }

  private steps(): void {
    const all = this.cases.map((one, row): Step => ({ kind: 'case', one, row }));
    const of = (wanted: Class, boots: boolean): Step[] =>
      all.filter(
        (step) => step.kind === 'case' && classOf(step.one) === wanted && (step.one.boot !== undefined) === boots,
      );
    const readings = READINGS.map((one, i): Step => ({ kind: 'reading', one, row: this.cases.length + i }));
    this.chapter('Over the line alone: nothing to do but to wait.', of('wire', false), false);
    this.chapter('After a reset of the board.', of('wire', true), false);
    this.chapter(
      'By hand. Each step says which wire to move, and goes on by itself when it was moved; type no to leave a step out.',
      [...of('hands', false), ...of('hands', true)],
      true,
    );
    this.chapter(
      'With an instrument: an oscilloscope with two channels, its ground at GND of the board. Probes at board pins only, never at a drive\nor at the mains. Type no to leave a reading out.',
      readings,
      true,
    );
  }

  private chapter(words: string, steps: readonly Step[], offered: boolean): void {
    if (steps.length === 0) return;
    this.bench.tell(`\n${words}\n\n`);
    for (const step of steps) this.step(step, offered);
  }

  private step(step: Step, offered: boolean): void {
    const { bench, port } = this;
    const { section, rule } = step.one;
    for (let attempt = 1; ; attempt++) {
      try {
        if (offered) this.announce(step);
        this.makeReady(step);
        const remarks = this.carryOut(step);
        this.done(step, remarks === null ? 'passed' : 'failed', remarks, attempt);
        if (remarks === null || !offered) return;
        if (ask(bench, '  Type again to repeat it, or press Enter to go on: ', false).toLowerCase() !== 'again') return;
      } catch (error) {
        if (!(error instanceof LeftOut)) throw error;
        bench.tell(`  not done    ${section}: ${rule}\n`);
        this.report.set(step.row, 'not done');
        port.forget();
        return;
      }
    }
  }

  /** Null where it passed, otherwise why not. */
  private carryOut(step: Step): string | null {
    const { port } = this;
    try {
      if (step.kind === 'case') step.one.run(port);
      else {
        const { one } = step;
        const read = one.take(port, `    What do you read, in ${one.unit}? `);
        port.note('measured', `${read} ${one.unit}`);
        if (read < one.least || read > one.most) return `wanted: ${one.least} to ${one.most} ${one.unit}`;
      }
      return null;
    } catch (error) {
      if (isEnding(error)) throw error;
      return [...port.wrong, (error as Error).message].join('; ');
    }
  }

  private done(step: Step, result: 'passed' | 'failed', why: string | null, attempt: number): void {
    const { port, bench } = this;
    const remarks = [
      ...port.measured,
      ...(port.unseen.size === 0 ? [] : [`not seen: ${[...port.unseen].sort().join(', ')}`]),
      ...(attempt === 1 ? [] : [`attempt ${attempt}`]),
    ];
    bench.tell(`  ${result.padEnd(10)}  ${step.one.section}: ${step.one.rule}\n`);
    if (why !== null) bench.tell(`              ${why.slice(0, SHOWN_LETTERS)}\n`);
    this.report.set(step.row, result, remarks, why ?? '');
  }

  private announce(step: Step): void {
    const { bench } = this;
    bench.tell(`\n${step.one.section}: ${step.one.rule}\n`);
    if (step.kind === 'reading') {
      const { signals, look, least, most, unit } = step.one;
      const probes = signals.map((signal) => `${this.labelOf(signal)} (${signal})`);
      bench.tell(`    Probe ${probes.join(' and ')}. ${look}\n`);
      bench.tell(`    Expected: ${least === most ? `${least}` : `${least} to ${most}`} ${unit}.\n`);
    }
    ask(bench, '    Press Enter to begin, or type no to leave it out: ');
  }

  private labelOf(signal: string): string {
    const pin = this.board.pins.pins.find((one) => one.signal === signal);
    return pin === undefined ? signal : pin.label;
  }

  /** Wires as at the beginning, board at rest without a stop and with its drives off; booted just now where the case wants that. */
  private makeReady(step: Step): void {
    const { port } = this;
    const boot = step.kind === 'case' ? step.one.boot : undefined;
    port.forget();
    this.calm(boot?.released ?? 0);
    port.forget();
    if (boot !== undefined) this.boot();
  }

  /** Throws BoardLost where the board does not answer or does not come to rest; waits for wires that are not where they should be. */
  private calm(released: number): void {
    const talk = this.reopened();
    while (!this.wireUp(talk, released));
    try {
      // What a case asked to be told by standard messages.
      for (let i = 0; i < 16; i++) talk.raw([0xd0 | i, 0, 0xc0 | i, 0]);
      talk.do({ name: 'lift', up: 1 });
      talk.do({ name: 'drives', on: 0 });
      talk.do({ name: 'flush' });
      // Neither an open nor a flush ends a seek.
      talk.do({ name: 'seek', mask: 0, levels: 0, on: 0 });
    } catch (error) {
      if (isEnding(error)) throw error;
      throw new BoardLost(`The board cannot be brought to rest: ${(error as Error).message}`);
    }
  }

  /** Has the wires put where they belong and clears what stop stands; false where the wires did not come in time. */
  private wireUp(talk: Talk, released: number): boolean {
    const { port, bench } = this;
    try {
      talk.hold(0, released);
    } catch (error) {
      if (isEnding(error)) throw error;
      if (port.wrong.length === 0)
        throw new BoardLost(`The board does not report any more: ${(error as Error).message}`);
      for (const line of port.wrong) bench.tell(`    ${line}\n`);
      return false;
    }
    try {
      talk.until('no stop', 2, () => {
        if (talk.last('status')?.latchedStop === 0) return true;
        talk.ask({ name: 'clear' });
        return undefined;
      });
      return true;
    } catch (error) {
      if (isEnding(error)) throw error;
      throw new BoardLost(`A stop cannot be cleared: ${(error as Error).message}`);
    }
  }

  /** A link of our own, however the last case left the board. */
  private reopened(): Talk {
    for (let tries = 0; ; tries++) {
      const talk = new Talk(this.port);
      try {
        talk.open({ proposedLink: BETWEEN_LINK + tries, hostSilentMs: 2000, liftTimeoutMs: 60_000 });
        return talk;
      } catch (error) {
        if (isEnding(error)) throw error;
        if (tries === 5) throw new BoardLost(`The board does not answer any more: ${(error as Error).message}`);
        this.port.forget();
        talk.run(0.5);
      }
    }
  }

  private boot(): void {
    const { bench, port } = this;
    if (this.resets && bench.reset()) {
      const end = bench.now() + BOOT_SECONDS;
      while (bench.now() < end) if (port.hearsBoot()) return;
    }
    this.resets = false;
    bench.tell('    > press the RESET button of the board once (its port does not do it; no leaves this out)\n');
    while (!port.hearsBoot()) port.takeLine();
  }

  private fitWires(): void {
    const { bench, port, wires, board } = this;
    bench.tell(
      [
        '',
        `The board calls itself the ${board.pins.board} board (${board.pins.chip}). Fit these wires, each from its pin:`,
        '',
        ...wires.fitting().map((line) => `    ${line}`),
        '',
        'Nothing else is joined to the pins of drives, lift and contacts.',
        '',
      ].join('\n'),
    );
    for (;;) {
      ask(bench, 'Press Enter when they are fitted: ', false);
      const talk = this.reopened();
      talk.run(0.2);
      if (port.settled(talk.status().inputs) && this.echoesFollow(talk)) return;
      for (const line of port.wrong) bench.tell(`    ${line}\n`);
    }
  }

  /** Wires from outputs to inputs: what they show must follow. */
  private echoesFollow(talk: Talk): boolean {
    const { bench, port, wires } = this;
    const { enable, notLowered } = port.echo;
    if (notLowered !== 0 && (talk.status().inputs & notLowered) === 0) {
      bench.tell(`    The input joined to ${wires.labelOf('lower')} does not read what LOWER says.\n`);
      return false;
    }
    if (enable === 0) return true;
    if (!this.wireUp(talk, 0)) return false;
    const shown = [0, 1].map((on) => {
      talk.do({ name: 'drives', on });
      return (talk.status().inputs & enable) !== 0;
    });
    talk.do({ name: 'drives', on: 0 });
    if (!shown[0] && shown[1]) return true;
    bench.tell(`    The input joined to ${wires.labelOf('enable')} does not follow ENABLE.\n`);
    return false;
  }

  /** How long a question and its answer are on their way at worst: asked of Firmata, which answers at once. */
  private measureLine(): void {
    const { bench, port, report } = this;
    this.calm(0);
    const heard = new Heard();
    let answers = 0;
    const splitter = new StreamSplitter({
      frame: () => {},
      firmata: (message) => {
        heard.firmata(message);
        answers++;
      },
    });
    let worst = 0;
    for (let i = 0; i < ROUND_TRIPS; i++) {
      const before = answers;
      const from = bench.now();
      port.write(WHO_ARE_YOU);
      while (answers < before + 2) {
        splitter.feed(port.run(SLICE_TICKS));
        if (bench.now() - from > 1) throw new BoardLost('The board does not answer when it is asked for its name.');
      }
      worst = Math.max(worst, bench.now() - from);
    }
    port.latencyTicks = Math.ceil(LATENCY_RESERVE * worst * TICK_HZ);
    report.subject.firmware = heard.name ?? 'did not say';
    report.facts.push(
      `The line: a question and its answer took ${(worst * 1000).toFixed(1)} ms at worst of ${ROUND_TRIPS}; waits were made longer by ${LATENCY_RESERVE} times that.`,
    );
  }

  /** The controller's ticks against this computer's clock. */
  private measureClock(): void {
    const { bench, report } = this;
    const talk = this.reopened();
    const look = (): { ticks: number; seconds: number } => {
      const ticks = talk.status().clockTicks;
      return { ticks, seconds: bench.now() };
    };
    const from = look();
    // In one piece a second: nobody has anything to say meanwhile.
    for (let second = 0; second < CLOCK_SECONDS; second++) talk.tick(TICK_HZ);
    const to = look();
    const rate = ((to.ticks - from.ticks) >>> 0) / (to.seconds - from.seconds);
    report.facts.push(
      `The board counted ${rate.toFixed(0)} ticks in a second of this computer's clock over ${CLOCK_SECONDS} s (${TICK_HZ} are meant).`,
    );
  }

  /** Drives off and at rest, as far as the line still carries it. */
  private farewell(): void {
    try {
      this.port.forget();
      const talk = this.reopened();
      talk.ask({ name: 'drives', on: 0 });
      talk.run(0.1);
      this.bench.tell('The drives were asked off; the board stands still.\n');
    } catch (error) {
      if (!isEnding(error)) throw error;
      this.bench.tell(
        'The board could not be asked to rest. It eases by itself when it no longer hears this computer; take its power away before you touch wires.\n',
      );
    }
  }
}

function isEnding(error: unknown): boolean {
  return (
    error instanceof Interrupted || error instanceof LineGone || error instanceof BoardLost || error instanceof LeftOut
  );
}

/** Why a session ended early, in words; null for a fault of our own. */
function endingWords(error: unknown): string | null {
  if (error instanceof Interrupted) return 'The person ended it.';
  if (error instanceof LeftOut) return 'The person ended it where a step could not be left out.';
  return error instanceof LineGone || error instanceof BoardLost ? error.message : null;
}
