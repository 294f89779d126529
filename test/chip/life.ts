/** A random but mostly sensible life of a chip: a host that pushes, paces, seeks, flushes and stumbles, and a stand that twitches. */
import { frame, word } from './frames';
import type { RecordedChip } from './lockstep';
import type { Seeded } from './seeded';
import { SegmentSource } from './segments';

const HALT = 0x0001;
const GUARD = 0x0002;
const FAULT = 0x0004;
const INDEX = 0x0008;
const LIMITS = 0x00f0;
const LIFT_UP = 0x0200;
const LIFT_DOWN = 0x0400;

/**
 * walk: a host that knows its job, a stand without faults; stumble: lost frames, stops, seeks, flushes, a lift that comes late;
 * noise: most bytes are random.
 */
export type LifeKind = 'walk' | 'stumble' | 'noise';

export const LIFE_KINDS: readonly LifeKind[] = ['walk', 'stumble', 'noise'];

export class Life {
  private readonly source: SegmentSource;
  private seq = 0;
  private eases = 0;
  private link = 0;
  private beat = 1;
  private nextBeat = 0;
  private inputs = LIFT_UP;

  constructor(
    private readonly recorded: RecordedChip,
    private readonly random: Seeded,
    private readonly kind: LifeKind,
  ) {
    this.source = new SegmentSource(random, recorded.chip.board.axes);
  }

  run(ticks: number): void {
    const { recorded, random } = this;
    recorded.setInputs(this.inputs);
    recorded.run(400);
    const end = recorded.chip.ticks + ticks;
    while (recorded.chip.ticks < end) {
      if (this.link === 0 || recorded.status?.open === false) this.open();
      recorded.run(random.whole(20, 300));
      if (recorded.chip.unsent > 200) continue;
      if (this.kind === 'noise' && random.chance(0.7)) this.noise();
      else this.act();
    }
    recorded.run(200);
  }

  private open(): void {
    const { random } = this;
    this.link = random.whole(1, 16383);
    this.seq = 0;
    this.eases = 0;
    const silentMs = this.kind === 'walk' ? 500 : random.whole(60, 500);
    const times = [random.whole(50, 300), silentMs, random.whole(100, 300), random.whole(0, 5)];
    this.recorded.chip.write(frame(0x01, 0, 0, [this.link, ...times].flatMap(word)));
    this.recorded.run(1200);
    this.source.restart();
    this.send(0x12, [1]);
  }

  private send(type: number, body: readonly number[]): void {
    this.recorded.chip.write(frame(type, this.link, this.seq++, body));
  }

  private act(): void {
    const { random, recorded } = this;
    const { status } = recorded;
    if (recorded.chip.ticks >= this.nextBeat) {
      recorded.chip.write(frame(0x02, this.link, 0, word(this.beat++)));
      this.nextBeat = recorded.chip.ticks + random.whole(500, random.chance(0.05) ? 20_000 : 2500);
    }
    if (!status) return;
    this.followLift();
    if (status.stop !== 0) {
      this.recover();
      return;
    }
    const unacknowledged = (this.seq - status.seq) & 0xff;
    if (status.free - 7 * unacknowledged >= 7 && unacknowledged < 20) {
      const count = random.whole(1, 7);
      const rest = random.chance(this.kind === 'walk' ? 0.03 : 0.1);
      const segments = Array.from({ length: count }, (_, i) => this.source.next(rest && i === count - 1));
      if (this.kind !== 'walk' && random.chance(0.004)) segments[0]![2] = 0x9f;
      this.send(0x10, segments.flat());
    }
    const roll = random.next();
    if (roll < 0.25) this.send(0x11, [random.pick([64, 64, 64, 64, 64, 64, 40, 12, 0]), status.rests, this.eases]);
    else if (roll < 0.35) this.inputs ^= INDEX;
    else if (roll < 0.36) this.ease();
    else if (this.kind !== 'walk') this.stumble(roll);
    recorded.setInputs(this.inputs);
  }

  private stumble(roll: number): void {
    const { random, recorded } = this;
    if (roll < 0.4) this.flush();
    else if (roll < 0.42) this.send(0x13, [random.whole(0, 1)]);
    else if (roll < 0.45) this.send(0x14, [...word(random.pick([INDEX, LIMITS, 0])), ...word(0xffff), 1]);
    else if (roll < 0.48) this.send(0x14, [0, 0, 0, 0, 0]);
    else if (roll < 0.485) this.inputs |= random.pick([HALT, GUARD, FAULT, LIMITS]);
    else if (roll < 0.5) this.noise();
    else if (roll < 0.501) recorded.chip.write([0xff]);
  }

  private ease(): void {
    this.eases = (this.eases + 1) & 0xff;
    this.recorded.chip.write(frame(0x03, this.link, 0, [this.eases]));
  }

  private flush(): void {
    this.ease();
    this.recorded.run(14_000);
    this.send(0x15, []);
    this.source.restart();
  }

  /** The sensors answer what the output asks, sometimes late. */
  private followLift(): void {
    if (this.random.chance(0.3)) return;
    const lowered = this.recorded.chip.isOn('lower');
    this.inputs = (this.inputs & ~(LIFT_UP | LIFT_DOWN)) | (lowered ? LIFT_DOWN : LIFT_UP);
    this.recorded.setInputs(this.inputs);
  }

  private recover(): void {
    this.inputs &= ~(HALT | GUARD | FAULT | LIMITS);
    this.recorded.setInputs(this.inputs);
    if (!this.random.chance(0.3)) return;
    this.ease();
    this.recorded.run(14_000);
    this.send(0x15, []);
    this.source.restart();
    this.send(0x16, []);
    this.send(0x12, [1]);
  }

  private noise(): void {
    const { random } = this;
    const bytes = Array.from({ length: random.whole(1, 100) }, () => random.whole(0, 255));
    // Mostly no 0xFF: it would end every link at once.
    const spared = random.chance(0.9) ? bytes.map((byte) => (byte === 0xff ? 0xf0 : byte)) : bytes;
    const whole = frame(0x10, this.link, this.seq, this.source.next());
    whole[random.whole(0, whole.length - 1)]! ^= 1 << random.whole(0, 7);
    this.recorded.chip.write(random.chance(0.5) ? spared : whole);
    this.source.restart();
  }
}
