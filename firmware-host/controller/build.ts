/**
 * `npm run build [folder]`: compiles the controller's images and writes them with their manifest, into images/ or the folder
 * named. Needs gcc-avr, avr-libc, clang and lld; whoever only uses the images needs none of them.
 */
import { execFileSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { IMAGES, type ImageTarget, type Manifest, sha256, sourceFiles, sourceHash, TARGETS } from './images';
import { PIN_PAGE, pinPage } from './pin-page';
import { pinHeader, readPins } from './pin-table';

function run(program: string, args: readonly string[]): string {
  try {
    return execFileSync(program, args, { cwd: __dirname, encoding: 'utf8' });
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'ENOENT') throw error;
    throw new Error(`${program} is not installed; on Debian: apt-get install gcc-avr avr-libc clang lld`);
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
  run(target.compiler, [...target.options, '-Icore', `-I${target.port}`, define, '-o', linked, ...sources]);
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

/** Builds all images into a folder; returns the manifest it wrote there. */
export function buildImages(folder: string): Manifest {
  mkdirSync(folder, { recursive: true });
  const work = mkdtempSync(join(tmpdir(), 'wholeturn-build-'));
  try {
    const hash = sourceHash();
    const manifest: Manifest = {
      sources: hash,
      compilers: Object.fromEntries(
        ['avr-gcc', 'clang', 'wasm-ld'].map((name) => [name, run(name, ['--version']).split('\n')[0]!]),
      ),
      images: TARGETS.map((target) => compile(target, hash, folder, work)),
    };
    writeFileSync(join(folder, 'manifest.json'), `${JSON.stringify(manifest, null, 2)}\n`);
    return manifest;
  } finally {
    rmSync(work, { recursive: true });
  }
}

if (require.main === module) {
  writePinHeaders();
  writeFileSync(PIN_PAGE, pinPage(readPins()));
  const manifest = buildImages(resolve(process.argv[2] ?? IMAGES));
  for (const { file, flashBytes, ramBytes } of manifest.images) {
    console.log(file + (flashBytes ? `: flash ${flashBytes}, RAM ${ramBytes} bytes` : ''));
  }
}
