/** A stand with short ways and a program of two turns, as files: a run takes half a minute of real time. */
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';

export const STAND = `
wholeturn: 1
name: Short stand
virtual: true
commissioned: true
tick: 40 kHz
ramp: 0.3 s
lift: { travel: 0.2 s, timeout: 3 s }
indexTolerance: 0.5 deg
hostSilent: 500 ms
axes:
  turntable: { steps: 14464.5 /turn, maxSpeed: 20 rpm, maxAcceleration: 2 turns/s2 }
  stroke: { steps: 40 /mm, maxSpeed: 400 mm/s, maxAcceleration: 3 m/s2, from: -30 mm, to: 30 mm }
  radial: { steps: 80 /mm, maxSpeed: 120 mm/s, maxAcceleration: 1.5 m/s2, from: 70 mm, to: 110 mm }
  lapTurn: { steps: 9600 /turn, maxSpeed: 1.5 turns/s, maxAcceleration: 8 turns/s2 }
accessories:
  slurry: { every: 1 turn, pin: 42, dose: 500 ms }
  tower: { red: 43, yellow: 44, green: 45 }
  thermometers:
    slurry: { channel: 0, atZero: -50 C, atFull: 450 C }
`;
const PROGRAM = `
wholeturn: 1
title: Over a port
glass: glass-300
lap: round-60
turntable: 10 rpm
rate: 60 /min
do:
  - { turns: 2, stroke: straight, at: 90 mm, length: 40 mm, clock: { every: 2, by: 40 deg, share: 60 % } }
`;

/** Writes both into the folder; returns the program's path. The stand lies beside it. */
export function writeShortProgram(folder: string): string {
  const program = join(folder, 'program.yaml');
  writeFileSync(program, PROGRAM);
  writeFileSync(join(folder, 'stand.yaml'), STAND);
  return program;
}
