/**
 * What the images are made of and how, without running a compiler: the list of sources, the compilers' options, the hash that
 * ties an image to its sources (its first 32 bits are the "image hash" of SPEC 4), and the manifest beside the images.
 */
import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { PinBoard } from './pin-table';

export const IMAGES = join(__dirname, 'images');

export interface ImageTarget {
  file: string;
  board: 'virtual' | PinBoard['board'];
  /** Folder of the port beside core/. */
  port: 'wasm' | 'avr';
  /** Command line but for sources, hash and output. */
  compiler: string;
  options: string[];
}

const AVR_OPTIONS = [
  '-std=gnu11',
  '-O2',
  '-flto',
  '-fwhole-program',
  '-ffunction-sections',
  '-Wl,--gc-sections',
  '-Wall',
  '-Wextra',
  '-Werror',
  '-DF_CPU=16000000UL',
];

/** `header`: the C header of the pins. */
export function avrTarget(board: PinBoard['board'], chip: string, header = `pins_${chip}.h`): ImageTarget {
  return {
    file: `${chip}.hex`,
    board,
    port: 'avr',
    compiler: 'avr-gcc',
    options: [`-mmcu=${chip}`, ...AVR_OPTIONS, `-DPINS_HEADER="${header}"`],
  };
}

export const TARGETS: readonly ImageTarget[] = [
  {
    file: 'virtual.wasm',
    board: 'virtual',
    port: 'wasm',
    compiler: 'clang',
    options: [
      '--target=wasm32',
      '-std=c11',
      '-O2',
      '-flto',
      '-mbulk-memory',
      '-nostdlib',
      '-ffreestanding',
      '-fvisibility=hidden',
      '-Wall',
      '-Wextra',
      '-Werror',
      '-Wl,--no-entry',
      '-Wl,--export-dynamic',
      '-Wl,--strip-all',
    ],
  },
  avrTarget('reference', 'atmega2560'),
  avrTarget('small', 'atmega328p'),
];

export interface Manifest {
  /** SHA-256 of sources and options. */
  sources: string;
  /** First line of each compiler's --version. */
  compilers: Record<string, string>;
  images: { file: string; board: string; sha256: string; flashBytes: number; ramBytes: number }[];
}

/** Paths, relative to this folder, of everything that is compiled, in a fixed order. */
export function sourceFiles(folders: readonly string[] = ['core', 'avr', 'wasm']): string[] {
  return folders.flatMap((folder) =>
    readdirSync(join(__dirname, folder))
      .filter((file) => /\.(c|h|S)$/.test(file))
      .sort()
      .map((file) => `${folder}/${file}`),
  );
}

/** SHA-256 over names and contents of all sources, the pin table and the options. */
export function sourceHash(): string {
  const hash = createHash('sha256').update(JSON.stringify(TARGETS));
  for (const file of [...sourceFiles(), 'pins.json']) {
    hash.update(`\n${file}\n`).update(readFileSync(join(__dirname, file)));
  }
  return hash.digest('hex');
}

export function readManifest(folder = IMAGES): Manifest {
  return JSON.parse(readFileSync(join(folder, 'manifest.json'), 'utf8')) as Manifest;
}

/** The image hash of SPEC 4 that an image tells; of those kept here when left out. */
export function imageHash({ sources }: Pick<Manifest, 'sources'> = readManifest()): number {
  return Number.parseInt(sources.slice(0, 8), 16);
}

export function sha256(bytes: Uint8Array): string {
  return createHash('sha256').update(bytes).digest('hex');
}
