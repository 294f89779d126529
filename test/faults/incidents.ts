/** What can happen to a run, by its kind; nothing here knows how the host reacts. */
import { encodeToStand } from '../../firmware-host/wire/frame';
import { FAULTS } from '../support/faulty-pipe';
import { ANY_LINE, AT_ONCE, type Draw, EASED, forced, line, type Made, nothing, order, pick, slip } from './incident';

/** Every kind of thing that can happen. */
export const WALKING = {
  pause: () => order('pause', /^Paus/, ['hold']),
  stop: () => order('stop', /^Stop/, ['stop']),
  stopAtTurnEnd: () => order('stop at the end of the turn', /^Stop|^Done/, ['stopAtTurnEnd']),
  slurry: () => ({ ...order('slurry', /fresh slurry/, ['suspend']), may: /fresh slurry/ }),
  twoCommanders: (random) => {
    const commands = Array.from({ length: 2 + Math.floor(random() * 4) }, () =>
      pick(random, ['hold', 'unhold', 'stop', 'stopAtTurnEnd', 'suspend', 'unsuspend', 'abort', 'clear', 'reset']),
    );
    return { ...order(`two commanders: ${commands.join(' ')}`, /./, commands), may: /fresh slurry|a person/ };
  },
  halt: () => forced('halt', /the halt input/, 1, AT_ONCE),
  driveFault: () => forced('driveFault', /a drive that reports a fault/, 1, AT_ONCE),
  guard: () => forced('guard', /an open guard/, 1, EASED),
  guardTapped: () => ({ ...forced('guard', /an open guard/, 0.02, EASED), name: 'guard opens for a moment' }),
  /** ISO 14118: while the cause of a stop stands, nothing that is asked may start it. */
  haltImpatient: (random) => ({
    ...forced('halt', /the halt input/, 2, AT_ONCE),
    name: 'halt, and somebody who tries everything to go on',
    may: /the halt input/,
    during(world) {
      const command = pick(random, ['clear', 'reset', 'unhold', 'unsuspend', 'start'] as const);
      if (world.ask(command) && command !== 'clear' && command !== 'reset')
        world.oracle.complain(`"${command}" was taken while the halt input is open`);
    },
  }),
  limit: (random) =>
    forced(
      pick(random, ['strokeLow', 'strokeHigh', 'radialLow', 'radialHigh'] as const),
      /a slide at the end of its travel/,
      1,
      AT_ONCE,
    ),
  corruption: (random) => line('corruption', ['flip', 'noise', 'cut', 'lose'], random),
  repetition: (random) => line('unintended repetition', ['repeat'], random),
  wrongOrder: (random) => line('wrong order', ['swap'], random),
  loss: (random) => line('loss', ['drop'], random),
  everyDamage: (random) => line('everything', FAULTS, random),
  delay: (random) => {
    const seconds = 0.01 + 0.2 * random();
    return {
      name: `line: delay ${seconds.toFixed(2)}`,
      seconds: 0.5 + 3 * random(),
      must: null,
      may: ANY_LINE,
      begin: (world) => world.host.line.delay(seconds),
      end: (world) => world.host.line.mend(),
    };
  },
  insertion: (random) => {
    const seed = Math.floor(random() * 2 ** 31);
    return {
      name: 'line: insertion of old frames',
      seconds: 0.2 + 2 * random(),
      must: null,
      may: ANY_LINE,
      begin: nothing,
      during: (world) => world.host.line.repeatOld(seed + Math.round(world.now() * 1000)),
      end: nothing,
    };
  },
  masquerade: (random) => {
    const messages = [
      [0x90, 0x7f, 0x7f],
      [0xf4, 3, 1],
      [0xf5, 3, 1],
      [0xe0, 1, 1],
      [0xf0, 0x6b, 0xf7],
      [0xf9],
      [0xf0, 0x79, 0xf7],
    ];
    const chosen = Uint8Array.from(pick(random, messages));
    return {
      name: 'line: masquerade as Firmata',
      seconds: 0.2 + random(),
      must: null,
      may: ANY_LINE,
      begin: nothing,
      during: (world) => world.host.line.insert(chosen),
      end: nothing,
    };
  },
  addressing: (random) => {
    const other = 1 + Math.floor(random() * 16_000);
    return {
      name: 'line: addressed to another link',
      seconds: 0.1 + 0.6 * random(),
      must: null,
      may: ANY_LINE,
      begin: nothing,
      during(world) {
        const frame = pick(random, [
          encodeToStand({ name: 'pace', target: 64, rests: 0, eases: 0 }, other, 3),
          encodeToStand({ name: 'heartbeat', counter: Math.floor(random() * 65_536) }, other, 0),
          encodeToStand({ name: 'flush' }, other, Math.floor(random() * 256)),
          encodeToStand({ name: 'lift', up: 0 }, other, Math.floor(random() * 256)),
        ]);
        world.host.line.insert(frame);
      },
      end: nothing,
    };
  },
  echo: (random) => ({
    name: 'line: masquerade as the other end (echo)',
    seconds: 0.2 + 2 * random(),
    must: null,
    may: ANY_LINE,
    begin: (world) => world.host.line.echo(true),
    end: (world) => world.host.line.echo(false),
  }),
  secondHost: (random) => {
    const other = 1 + Math.floor(random() * 16_000);
    const open = { proposedLink: other, rampMs: 500, hostSilentMs: 500, liftTimeoutMs: 3000, enableDelayMs: 200 };
    return {
      name: 'another host opens the link',
      seconds: 0.2 + 2 * random(),
      must: null,
      may: ANY_LINE,
      // Where the stand was just easing by itself, the other host's open takes the place it eased to from the first one.
      begin: (world) => world.oracle.mayOverlap(world.turnsIn(0.9)),
      during(world) {
        world.host.line.insert(encodeToStand({ name: 'open', ...open }, 0, 0));
      },
      end: nothing,
    };
  },
  systemReset: () => ({
    name: 'system reset from the line',
    seconds: 0,
    must: /system reset|line to the stand/,
    may: /system reset|line to the stand/,
    begin(world) {
      world.host.line.insert(Uint8Array.of(0xff));
      world.oracle.mustRest(EASED, 'a system reset');
    },
    end: nothing,
  }),
  hostLate: (random) => {
    const seconds = 0.02 + 0.3 * random();
    return {
      name: 'host late',
      seconds: 0,
      must: null,
      may: null,
      begin: (world) => world.stall(seconds),
      end: nothing,
    };
  },
  hostStall: (random) => {
    const seconds = 0.9 + 4 * random();
    const must = /silent|slept|Nothing was heard|line to the stand|^Paused|^Stopped|^Done|clocked by hand/;
    return {
      name: `host stalls ${seconds.toFixed(1)} s`,
      seconds: 0,
      must,
      may: /silent|slept|line to the stand/,
      begin: (world) => world.stall(seconds),
      end: nothing,
    };
  },
  cableOut: (random) => ({
    name: 'cable out',
    seconds: 0.1 + 6 * random() ** 2,
    must: /line to the stand/,
    may: /line to the stand|silent/,
    begin(world) {
      world.stand.unplug();
      world.oracle.mustRest(0.5 + EASED, 'a cable that came out');
    },
    end: (world) => world.host.plugIn(),
  }),
  brownOut: () => ({
    name: 'supply dips with the lap down',
    seconds: 0,
    must: /a dip of the supply/,
    may: /a dip of the supply|line to the stand/,
    begin(world) {
      // Where another incident has lifted the lap already this one does not come to anything.
      if (world.stand.truth().liftHeight !== 0) return;
      world.oracle.mustRest(AT_ONCE, 'a dip of the supply');
      world.oracle.mayOverlap(world.turnsIn(0.2));
      world.stand.reboot('brown-out');
    },
    end: nothing,
  }),
  restart: (random) => {
    const cause = pick(random, ['power', 'external', 'brown-out', 'watchdog'] as const);
    const words = {
      power: /power coming on/,
      external: /a reset of the controller/,
      'brown-out': /a dip of the supply/,
      watchdog: /the watchdog/,
    }[cause];
    return {
      name: `controller restarts: ${cause}`,
      seconds: 0,
      must: words,
      may: new RegExp(`${words.source}|line to the stand`),
      begin(world) {
        world.oracle.mustRest(AT_ONCE, cause);
        world.oracle.mayOverlap(world.turnsIn(0.2));
        world.stand.reboot(cause);
      },
      end: nothing,
    };
  },
  hostKilled: (random) => {
    const wait = 0.3 + 8 * random();
    return {
      name: `host killed, begun anew after ${wait.toFixed(1)} s`,
      seconds: wait,
      must: /goes on|found/,
      may: null,
      begin(world) {
        world.oracle.mustRest(0.5 + EASED, 'its host was killed');
        // The last row, and what the stand walks on by itself until it has missed its host.
        world.oracle.mayOverlap(Math.min(1, world.turnsIn(5)) + world.turnsIn(0.9));
        world.host.kill();
      },
      end: (world) => world.startHost(),
    };
  },
  /** A person stops it for the day. */
  programEnded: (random) => {
    const powered = random() < 0.5;
    return {
      name: `stopped, then the program is ended${powered ? '' : ' and the stand switched off and on'}`,
      seconds: 6 + 3 * random(),
      must: /^Stopp/,
      may: /power coming on/,
      begin(world) {
        if (world.ask('stop')) world.oracle.mustRest(EASED, 'a stop');
      },
      end(world) {
        const { host } = world;
        const { alive } = host;
        const stopped = host.conductor?.snapshot().state === 'Stopped';
        const written = alive && host.close();
        // Killed by another incident, or kept from stopping or from writing it down: then more is not known than after any killed host.
        if (!stopped || !written) world.oracle.mayOverlap(Math.min(1, world.turnsIn(5)) + world.turnsIn(0.9));
        if (!powered) world.stand.reboot('power');
        if (alive) world.startHost();
      },
    };
  },
  smallSlip: (random) => {
    const degrees = (0.05 + 0.4 * random()) * (random() < 0.5 ? 1 : -1);
    return slip(`slips ${degrees.toFixed(2)} degrees`, degrees, null);
  },
  largeSlip: (random, turnsLeft) => {
    const late = random() < 0.5;
    const degrees = (0.7 + 4 * random()) * (late ? -1 : 1);
    const must = turnsLeft > 1.15 ? (late ? /index did not come|degrees late/ : /degrees early/) : null;
    const name = `index ${late ? 'late' : 'early'}: slips ${degrees.toFixed(2)} degrees`;
    return { ...slip(name, degrees, must), may: /the index/ };
  },
  indexMissing: () => ({
    name: 'index missing',
    seconds: 5.5,
    must: null,
    may: /index/,
    begin: (world) => world.stand.force('index', false),
    end: (world) => world.stand.force('index', null),
  }),
  indexBounces: () => ({
    name: 'index bounces',
    seconds: 0.06,
    must: null,
    may: /index/,
    begin: (world) => world.stand.force('index', true),
    during: (world) => world.stand.force('index', Math.round(world.now() * 100) % 2 === 0),
    end: (world) => world.stand.force('index', null),
  }),
  missedTableSteps: (random) => {
    const steps = 20 + Math.floor(100 * random());
    return {
      ...slip(`motor of the table misses ${steps} steps`, (-steps / 36_160.5) * 360, null),
      may: /the index/,
    };
  },
  missedSlideSteps: (random) => {
    const axis = pick(random, ['stroke', 'radial'] as const);
    const steps = Math.round((1 + 20 * random()) * (random() < 0.5 ? 1 : -1));
    return {
      name: `motor of the ${axis} slide misses ${steps} steps`,
      seconds: 0,
      must: null,
      may: null,
      begin(world) {
        world.stand.push(axis, steps);
        world.oracle.pushed(axis === 'stroke' ? 1 : 2, steps);
      },
      end: nothing,
    };
  },
  liftStuckUp: () => ({
    name: 'lift sticks going up',
    seconds: 6,
    must: /a lift that did not arrive/,
    may: /a lift that did not arrive/,
    begin(world) {
      world.stand.stickLift(true);
      world.ask('hold');
    },
    end: (world) => world.stand.stickLift(false),
  }),
  liftStuckDown: () => ({
    name: 'lift sticks going down',
    seconds: 6,
    must: null,
    may: /a lift that did not arrive|a lift that does not arrive/,
    begin: (world) => world.stand.stickLift(true),
    end: (world) => world.stand.stickLift(false),
  }),
  liftSensorLost: (_random, turnsLeft, restsByHand) => ({
    name: 'lift loses its lower sensor',
    seconds: 4.5,
    must: turnsLeft > 1.3 && !restsByHand ? /a lift that did not arrive/ : null,
    may: /a lift that did not arrive/,
    begin(world) {
      world.stand.force('liftDown', false);
      if (turnsLeft > 1.3 && !restsByHand) world.oracle.mustRest(3 + EASED, 'a lift whose sensor is lost');
    },
    end: (world) => world.stand.force('liftDown', null),
  }),
  discFull: (random) => ({
    name: 'disc full',
    seconds: 3 + 4 * random(),
    must: null,
    may: /logbook/,
    begin: (world) => world.discFull(true),
    end: (world) => world.discFull(false),
  }),
  clockJump: (random) => {
    const hours = (random() - 0.5) * 60;
    return {
      name: `wall clock jumps ${hours.toFixed(1)} hours`,
      seconds: 0,
      must: null,
      // Where the stand misses its host in the same seconds, a clock that jumped is taken for a sleep.
      may: /the computer slept/,
      begin: (world) => world.jumpClock(hours * 3_600_000),
      end: nothing,
    };
  },
} satisfies Record<string, (random: Draw, turnsLeft: number, restsByHand: boolean) => Made>;

export type Kind = keyof typeof WALKING;
