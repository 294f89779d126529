/** A host reduced to its voice: says frames, hears answers, keeps the heart beating, judges nothing. */
import assert from 'node:assert/strict';
import { decodeToHost, encodeToStand } from '../../../firmware-host/wire/frame';
import type {
  Headless,
  OpenedFrame,
  RefusedFrame,
  StatusFrame,
  ToHost,
  ToStand,
} from '../../../firmware-host/wire/frame-table';
import { StreamSplitter } from '../../../firmware-host/wire/splitter';
import { type Edge, type Port, TICK_HZ } from './port';

export type Say = Headless<ToStand>;

export interface Opening {
  proposedLink: number;
  rampMs: number;
  hostSilentMs: number;
  liftTimeoutMs: number;
  enableDelayMs: number;
}

/** As quick as the rules allow, so that a chip emulated in real time gets through. */
export const QUICK: Opening = {
  proposedLink: 77,
  rampMs: 50,
  hostSilentMs: 300,
  liftTimeoutMs: 400,
  enableDelayMs: 20,
};

/** Time goes on by so much at once. */
export const SLICE_TICKS = 80;
const HEARTBEAT_TICKS = TICK_HZ / 10;
const FRAME_BYTES = 56;
/** How long a person may take to move a contact. */
export const HAND_SECONDS = 60;

export class Talk {
  link = 0;
  seq = 0;
  eases = 0;
  /** False: the heart stops, time goes on. */
  beating = true;
  readonly frames: ToHost[] = [];
  readonly firmata: Uint8Array[] = [];
  readonly edges: Edge[] = [];
  private counter = 0;
  private nextBeat = 0;
  /** Segments that follow as the ring has room. */
  private supply = new Uint8Array();
  private pushed = 0;
  private readonly splitter: StreamSplitter;

  constructor(readonly port: Port) {
    port.listen?.();
    this.splitter = new StreamSplitter({
      frame: (packed, length) => {
        const frame = decodeToHost(packed, length);
        assert.notEqual(typeof frame, 'string', `the board sent a frame that fails with ${String(frame)}`);
        this.frames.push(frame as ToHost);
      },
      firmata: (message) => this.firmata.push(message),
    });
  }

  /** Exactly so many ticks, in one piece. */
  tick(ticks: number): void {
    this.splitter.feed(this.port.run(ticks));
    if (this.port.pins !== null) this.edges.push(...this.port.pins.edges());
    assert.deepEqual(this.splitter.counters, { aborted: 0, oversize: 0, stray: 0 }, 'the board sent a broken stream');
  }

  run(seconds: number): void {
    const end = this.now + Math.round(seconds * TICK_HZ);
    while (this.now < end) {
      if (this.link !== 0 && this.beating && this.now >= this.nextBeat) {
        this.nextBeat = this.now + HEARTBEAT_TICKS;
        this.beat(++this.counter);
      }
      this.feed();
      this.tick(Math.min(SLICE_TICKS, end - this.now));
    }
  }

  /** As `run`, and as much longer as a question and its answer are on their way. */
  runPastLatency(seconds: number): void {
    this.run(seconds + this.latencySeconds);
  }

  private get now(): number {
    return this.port.now();
  }

  get latencySeconds(): number {
    return this.port.latencyTicks / TICK_HZ;
  }

  until<T>(what: string, seconds: number, found: () => T | undefined): T {
    const end = this.now + seconds * TICK_HZ + this.port.latencyTicks;
    for (;;) {
      const result = found();
      if (result !== undefined) return result;
      assert.ok(
        this.now < end,
        `${what}: not seen within ${seconds} s; last status ${JSON.stringify(this.last('status'))}`,
      );
      this.run(SLICE_TICKS / TICK_HZ);
    }
  }

  raw(bytes: ArrayLike<number>): void {
    this.port.write(Uint8Array.from(bytes));
  }

  beat(counter: number): void {
    this.raw(encodeToStand({ name: 'heartbeat', counter }, this.link, 0));
  }

  ease(): void {
    this.raw(encodeToStand({ name: 'ease', eases: ++this.eases }, this.link, 0));
  }

  /** Says a sequenced frame and uses up a number; does not wait. */
  say(frame: Say): number {
    const { seq } = this;
    this.raw(encodeToStand(frame, this.link, seq));
    this.seq = (seq + 1) & 0xff;
    return seq;
  }

  /** Says a sequenced frame and waits for its acknowledgement; returns the refusal, or undefined where it was obeyed. */
  ask(frame: Say): RefusedFrame | undefined {
    const heard = this.frames.length;
    const seq = this.say(frame);
    const next = this.seq;
    this.until(`acknowledgement of ${frame.name}`, 0.2, () =>
      this.frames.slice(heard).some((answer) => answer.name === 'status' && isAtOrPast(answer.seqExpected, next))
        ? true
        : undefined,
    );
    this.runPastLatency(0.006);
    return this.frames
      .slice(heard)
      .find((answer): answer is RefusedFrame => answer.name === 'refused' && answer.refusedSeq === seq);
  }

  /** Says a frame that must be obeyed. */
  do(frame: Say): void {
    const refusal = this.ask(frame);
    assert.equal(refusal, undefined, `${frame.name} was refused: ${JSON.stringify(refusal)}`);
  }

  /** Says a frame that must be refused for a reason; returns the detail. */
  refused(frame: Say, reason: number): number {
    const refusal = this.ask(frame);
    assert.equal(refusal?.reason, reason, `${frame.name}: ${JSON.stringify(refusal)}`);
    return refusal!.detail;
  }

  pace(target: number, changes: { rests?: number; eases?: number } = {}): Say {
    const rests = changes.rests ?? this.last('status')?.restsReached ?? 0;
    return { name: 'pace', target, rests, eases: changes.eases ?? this.eases };
  }

  last<N extends ToHost['name']>(name: N): Extract<ToHost, { name: N }> | undefined {
    return this.frames.findLast((frame): frame is Extract<ToHost, { name: N }> => frame.name === name);
  }

  /** A report of now: the first that was begun after this call. */
  status(): StatusFrame {
    const heard = this.frames.length;
    this.runPastLatency(0.005);
    const begun = this.frames.length;
    return this.until('a report', 0.2, () =>
      this.frames.slice(Math.max(heard, begun)).find((frame): frame is StatusFrame => frame.name === 'status'),
    );
  }

  open(changes: Partial<Opening> = {}): OpenedFrame {
    const heard = this.frames.length;
    const opening = { ...QUICK, ...changes };
    this.raw(encodeToStand({ name: 'open', ...opening }, 0, 0));
    const opened = this.until('opened', 0.2, () =>
      this.frames.slice(heard).find((frame): frame is OpenedFrame => frame.name === 'opened'),
    );
    this.link = opening.proposedLink;
    this.seq = 0;
    this.eases = 0;
    this.supply = new Uint8Array();
    this.pushed = 0;
    return opened;
  }

  /** Says an open that must be refused for a reason. */
  openRefused(changes: Partial<Opening>, reason: number): void {
    const heard = this.frames.length;
    this.raw(encodeToStand({ name: 'open', ...QUICK, ...changes }, 0, 0));
    this.runPastLatency(0.02);
    const answers = this.frames.slice(heard).filter((frame) => frame.name === 'opened' || frame.name === 'refused');
    assert.deepEqual(
      answers.map((frame) => (frame.name === 'refused' ? [frame.refusedType, frame.reason] : frame.name)),
      [[1, reason]],
    );
  }

  /** Link open, drives ready, numbers at 0, nothing queued. */
  ready(changes: Partial<Opening> = {}): void {
    this.open(changes);
    this.do({ name: 'drives', on: 1 });
    this.until('drives ready', 1, () => ((this.last('status')?.state ?? 0) & 0x80 ? true : undefined));
    this.do({ name: 'flush' });
    this.edges.length = 0;
    this.pushed = 0;
  }

  /** Pushes segments in full frames, as the ring has room; time goes on as needed. */
  push(segments: Uint8Array): void {
    this.pushed += segments.length / 8;
    for (let at = 0; at < segments.length; at += FRAME_BYTES) {
      const batch = segments.subarray(at, at + FRAME_BYTES);
      this.until('room in the ring', 3, () =>
        (this.last('status')?.ringFree ?? 0) >= batch.length / 8 ? true : undefined,
      );
      this.do({ name: 'segments', segments: batch.slice() });
    }
  }

  /** Pushes, walks at full pace, and waits for the planned rest that ends the segments. */
  walk(segments: Uint8Array): void {
    const rests = ((this.last('status')?.restsReached ?? 0) + 1) & 0xff;
    const early = segments.subarray(0, 112 * 8);
    this.push(early);
    this.do(this.pace(64));
    this.push(segments.subarray(early.length));
    this.until('the planned rest', 10, () => (this.last('status')?.restsReached === rests ? true : undefined));
    this.run(0.002);
  }

  /** Begins a walk of any length at full pace; what the ring has no room for follows while time goes on. Once after `ready`. */
  begin(segments: Uint8Array): void {
    const early = segments.subarray(0, 112 * 8);
    this.push(early);
    this.do(this.pace(64));
    this.supply = segments.slice(early.length);
  }

  private feed(): void {
    const status = this.last('status');
    if (this.supply.length === 0 || status === undefined || status.latchedStop !== 0) return;
    const onTheWay = (this.pushed - status.segmentsAccepted) & 0xffff;
    for (let room = status.ringFree - onTheWay; room >= FRAME_BYTES / 8 && this.supply.length > 0; ) {
      const batch = this.supply.slice(0, FRAME_BYTES);
      this.supply = this.supply.subarray(batch.length);
      this.say({ name: 'segments', segments: batch });
      this.pushed += batch.length / 8;
      room -= batch.length / 8;
    }
  }

  /**
   * Holds contacts (see Port). At once where a machine does it; a person is waited for, while the heart beats and the walk goes on.
   */
  hold(asserted: number, released: number): void {
    this.port.hold(asserted, released);
    if (!this.port.bare) return;
    this.until('the contacts as asked', HAND_SECONDS, () =>
      this.port.settled(this.last('status')?.inputs ?? 0) ? true : undefined,
    );
  }

  /** The drives' ENABLE output is on, or off. */
  drives(on: boolean): void {
    this.output('ENABLE', on, this.port.pins?.drivesOn(), this.port.echo.enable);
  }

  /** The lift output says down, or up. */
  lowers(down: boolean): void {
    const { pins, echo } = this.port;
    this.output('LOWER', !down, pins === null ? undefined : !pins.lowered(), echo.notLowered);
  }

  private output(name: 'ENABLE' | 'LOWER', wanted: boolean, seen: boolean | undefined, echo: number): void {
    const is = seen ?? (echo === 0 ? undefined : (this.status().inputs & echo) !== 0);
    if (is === undefined) this.port.note?.('unseen', name);
    else assert.equal(is, wanted, `${name}, as far as it can be seen`);
  }

  /** The motors have made just these steps since the last `ready`. */
  made(wanted: { steps: number[]; travel: number[] }): void {
    if (this.seesSteps()) assert.deepEqual(this.motors(), wanted);
  }

  /** Whether any motor has stepped since the last `ready`. */
  stepped(wanted: boolean): void {
    if (this.seesSteps()) assert.equal(this.edges.length > 0, wanted, `${this.edges.length} steps`);
  }

  /** False, and noted, where nobody sees the STEP outputs. */
  seesSteps(): boolean {
    if (this.port.pins !== null) return true;
    this.port.note?.('unseen', 'STEP');
    return false;
  }

  /** What the motors made since the last `ready`: steps with and without sign. */
  motors(): { steps: number[]; travel: number[] } {
    const steps = [0, 0, 0, 0, 0];
    const travel = [0, 0, 0, 0, 0];
    for (const { axis, sense } of this.edges) {
      steps[axis]! += sense;
      travel[axis]!++;
    }
    return { steps, travel };
  }

  /** Eases and waits for rest; returns the report that tells it. */
  rest(): StatusFrame {
    this.ease();
    return this.until('rest', 2, () => {
      const status = this.last('status');
      return status !== undefined && status.paceLevel === 0 && status.paceTarget === 0 ? this.status() : undefined;
    });
  }
}

/** Whether a sequence number is `wanted` or one of the 127 after it. */
function isAtOrPast(seq: number, wanted: number): boolean {
  return ((seq - wanted) & 0xff) < 128;
}
