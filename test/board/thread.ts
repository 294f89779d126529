/**
 * Entry of the thread in which the cases run. It blocks while it waits, so that cases are the same conversations here and on an
 * emulated board; the line and the person are with the thread that started it.
 */
import { type MessagePort, receiveMessageOnPort, workerData } from 'node:worker_threads';
import { readPins } from '../../firmware-host/controller/pin-table';
import { CASES } from '../wire/conformance';
import { bareBoard } from './bare-port';
import { type Bench, Interrupted, LineGone } from './bench';
import type { Answer, Question, Summary, ThreadData } from './exchange';
import { RESULTS, Report } from './report';
import { rowsOf, Session } from './session';

class BlockingBench implements Bench {
  private seconds = 0;
  private words = '';
  private readonly lines: string[] = [];
  private readonly turns: Int32Array;

  constructor(
    private readonly port: MessagePort,
    turns: SharedArrayBuffer,
  ) {
    this.turns = new Int32Array(turns);
  }

  exchange(bytes: Uint8Array, seconds: number): Uint8Array {
    return this.asked({ kind: 'exchange', bytes, seconds, words: this.shown() }).bytes;
  }

  now(): number {
    return this.seconds;
  }

  reset(): boolean {
    return this.asked({ kind: 'reset', words: this.shown() }).reset;
  }

  tell(words: string): void {
    this.words += words;
  }

  typed(): string | undefined {
    return this.lines.shift();
  }

  keep(text: string): void {
    this.post({ kind: 'keep', text });
  }

  end(summary: Summary): void {
    this.post({ kind: 'end', summary, words: this.shown() });
  }

  private shown(): string {
    const { words } = this;
    this.words = '';
    return words;
  }

  private post(question: Question): void {
    this.port.postMessage(question);
  }

  private asked(question: Question): Answer {
    const turn = Atomics.load(this.turns, 0);
    this.post(question);
    // The call that wakes for an answer may come when it is read already, and then wakes from the next wait.
    while (Atomics.load(this.turns, 0) === turn) Atomics.wait(this.turns, 0, turn);
    const answer = receiveMessageOnPort(this.port)!.message as Answer;
    this.seconds = answer.now;
    this.lines.push(...answer.lines);
    if (answer.interrupted) throw new Interrupted();
    if (answer.gone !== null) throw new LineGone(answer.gone);
    return answer;
  }
}

const { port, turns, boardCode, subject, only } = workerData as ThreadData;
const cases = CASES.filter(({ rule }) => only === null || only.includes(rule));
const bench = new BlockingBench(port, turns);
const report = new Report(subject, rowsOf(cases), (text) => bench.keep(text));
new Session(bench, bareBoard(boardCode, readPins())!, cases, report).run();
const counts = Object.fromEntries(RESULTS.map((result) => [result, report.count(result)])) as Summary['counts'];
bench.end({ counts, complete: report.complete });
port.close();
