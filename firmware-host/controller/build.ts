/**
 * `npm run build [folder]`: compiles the controller's images and writes them with their manifest, into images/ or the folder
 * named. `npm run build -- --stand FILE`: the one image of a stand whose file turns pins round, into a folder beside that file. Needs
 * gcc-avr, avr-libc, and without --stand clang and lld; whoever only uses the images kept here needs none of them.
 */
import { execFileSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { parseArgs } from 'node:util';
import { readStandFile } from '../cli/files';
import { InputError } from '../cli/verb';
import { IMAGES, type ImageTarget, type Manifest, sha256, sourceFiles, sourceHash, TARGETS } from './images';
import { PIN_PAGE, pinPage } from './pin-page';
import { pinHeader, readPins } from './pin-table';
import { OWN_HEADER, ownImageFolder, type StandImage, standImage } from './stand-image';

function run(program: string, args: readonly string[]): string {
  try {
    return execFileSync(program, args, { cwd: __dirname, encoding: 'utf8' });
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'ENOENT') throw error;
    const packages = program.startsWith('avr-') ? 'gcc-avr avr-libc' : 'clang lld';
    throw new Error(
      `${program} is not installed, so nothing was built. It comes with the packages ${packages.replace(' ', ' and ')} ` +
        `(on Debian: apt-get install ${packages}).`,
    );
  }
}

/** Writes the C headers of the pin table; they are kept in the repository so that the C sources can be read alone. */
function writePinHeaders(): void {
  for (const board of readPins()) {
    writeFileSync(join(__dirname, 'avr', `pins_${board.chip.toLowerCase()}.h`), pinHeader(board));
  }
}

function compile(target: ImageTarget, hash: string, folder: string, work: string): Manifest['images'][number] {
  const sources = sourceFiles(['core', target.port]).filter((file) => !file.endsWith('.h'));
  const out = join(folder, target.file);
  const linked = target.port === 'avr' ? join(work, `${target.board}.elf`) : out;
  const define = `-DIMAGE_HASH=0x${hash.slice(0, 8)}ul`;
  run(target.compiler, [
    ...target.options,
    '-Icore',
    `-I${target.port}`,
    `-I${work}`,
    define,
    '-o',
    linked,
    ...sources,
  ]);
  let flashBytes = 0;
  let ramBytes = 0;
  if (target.port === 'avr') {
    run('avr-objcopy', ['-O', 'ihex', '-R', '.eeprom', linked, out]);
    const [text, data, bss] = run('avr-size', [linked]).split('\n')[1]!.trim().split(/\s+/).map(Number);
    flashBytes = text! + data!;
    ramBytes = data! + bss!;
  }
  return { file: target.file, board: target.board, sha256: sha256(readFileSync(out)), flashBytes, ramBytes };
}

function versionsOf(compilers: readonly string[]): Manifest['compilers'] {
  return Object.fromEntries(compilers.map((name) => [name, run(name, ['--version']).split('\n')[0]!]));
}

function written(folder: string, manifest: Manifest): Manifest {
  writeFileSync(join(folder, 'manifest.json'), `${JSON.stringify(manifest, null, 2)}\n`);
  return manifest;
}

/** Calls with a folder for what is not kept. */
function withWorkFolder<T>(use: (work: string) => T): T {
  const work = mkdtempSync(join(tmpdir(), 'wholeturn-build-'));
  try {
    return use(work);
  } finally {
    rmSync(work, { recursive: true });
  }
}

/** Builds all images into a folder; returns the manifest it wrote there. */
export function buildImages(folder: string): Manifest {
  mkdirSync(folder, { recursive: true });
  const sources = sourceHash();
  return withWorkFolder((work) =>
    written(folder, {
      sources,
      compilers: versionsOf(['avr-gcc', 'clang', 'wasm-ld']),
      images: TARGETS.map((target) => compile(target, sources, folder, work)),
    }),
  );
}

/** Builds the own image of a stand into a folder; returns the manifest it wrote there. */
export function buildStandImage({ board, target, sources }: StandImage, folder: string): Manifest {
  return withWorkFolder((work) => {
    const compilers = versionsOf(['avr-gcc']);
    mkdirSync(folder, { recursive: true });
    writeFileSync(join(work, OWN_HEADER), pinHeader(board));
    return written(folder, { sources, compilers, images: [compile(target, sources, folder, work)] });
  });
}

/** Throws with words for a person. */
function buildFor(standFile: string): string {
  const stand = readStandFile(standFile);
  const image = stand.board === undefined ? null : standImage(stand.board, stand.pins);
  if (!image?.own)
    return `${standFile} turns no pins round: the images kept here are right for it, and nothing was built.`;
  const folder = resolve(ownImageFolder(standFile));
  const [built] = buildStandImage(image, folder).images;
  return (
    `${join(folder, built!.file)}: flash ${built!.flashBytes}, RAM ${built!.ramBytes} bytes, image ${image.sources.slice(0, 8)}.\n` +
    `It is for this stand only. Flash it: wholeturn flash --port PORT --stand ${standFile}`
  );
}

function main(): void {
  const { values, positionals } = parseArgs({ options: { stand: { type: 'string' } }, allowPositionals: true });
  if (values.stand !== undefined) {
    console.log(buildFor(values.stand));
    return;
  }
  writePinHeaders();
  writeFileSync(PIN_PAGE, pinPage(readPins()));
  const manifest = buildImages(resolve(positionals[0] ?? IMAGES));
  for (const { file, flashBytes, ramBytes } of manifest.images) {
    console.log(file + (flashBytes ? `: flash ${flashBytes}, RAM ${ramBytes} bytes` : ''));
  }
}

if (require.main === module) {
  try {
    main();
  } catch (error) {
    console.error((error as Error).message);
    process.exitCode = error instanceof InputError ? 1 : 2;
  }
}
