import { execFileSync } from 'node:child_process';
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { runCommandLine } from '../../firmware-host/cli/command-line';
import { flash, quoted } from '../../firmware-host/cli/flash';
import { ports } from '../../firmware-host/cli/ports';
import { sha256 } from '../../firmware-host/controller/images';
import { ownImageFolder, standImage } from '../../firmware-host/controller/stand-image';

async function wholeturn(...args: string[]) {
  const said = { code: 0, out: '', err: '' };
  said.code = await runCommandLine(
    args,
    { flash: () => flash, ports: () => ports },
    {
      out: (text) => {
        said.out += text;
      },
      err: (text) => {
        said.err += text;
      },
      terminal: false,
      environment: {},
      onInterrupt: () => () => {},
    },
  );
  return said;
}

describe('flash', () => {
  test.each([
    ['reference', 'atmega2560', 'wiring'],
    ['small', 'atmega328p', 'arduino'],
  ])('the %s board: the command for its chip, with an image that is there', async (board, chip, loader) => {
    const { code, out } = await wholeturn('flash', '--port', '/dev/ttyACM0', '--board', board, '--json');
    expect(code).toBe(0);
    const { program, arguments: args } = JSON.parse(out);
    expect(program).toBe('avrdude');
    expect(args.slice(0, 9)).toEqual(['-p', chip, '-c', loader, '-P', '/dev/ttyACM0', '-b', '115200', '-D']);
    const image = /^flash:w:(.*):i$/.exec(args[10])![1]!;
    expect(image.endsWith(`${chip}.hex`)).toBe(true);
    expect(existsSync(image)).toBe(true);
    const { out: page } = await wholeturn('flash', '--port', '/dev/ttyACM0', '--board', board);
    expect(page).toContain(`avrdude ${args.join(' ')}\n`);
  });

  test.each(['-x', '/dev/tty\u001b[2J', '/dev/tty\nreboot'])('the port %j is refused', async (port) => {
    const { code, out } = await wholeturn('flash', `--port=${port}`, '--board', 'small');
    expect(out).toBe('');
    expect(code).toBe(1);
  });

  test.each(["/dev/tty'; touch /tmp/x; '", '$(reboot)', 'a b', '`id`', '-x'])(
    'pasted into a shell, %s stays one word',
    (word) => {
      const said = execFileSync('/bin/sh', ['-c', `printf %s ${quoted(word, 'linux')}`], { encoding: 'utf8' });
      expect(said).toBe(word);
    },
  );

  test('without a board: which there are', async () => {
    const { code, err } = await wholeturn('flash', '--port', '/dev/ttyACM0');
    expect(err).toContain('--board reference (ATmega2560) or --board small (ATmega328P)');
    expect(code).toBe(1);
  });

  describe('for a stand', () => {
    const demo = readFileSync(join(__dirname, '../../planner/examples/stand.yaml'), 'utf8');
    let home: string;
    let file: string;
    const flashFor = (lines: string, ...args: string[]) => {
      writeFileSync(file, demo + lines);
      return wholeturn('flash', '--port', '/dev/ttyACM0', '--stand', file, ...args);
    };
    beforeEach(() => {
      home = mkdtempSync(join(tmpdir(), 'wholeturn-flash-'));
      file = join(home, 'mine.yaml');
    });
    afterEach(() => rmSync(home, { recursive: true }));

    test('that turns no pins round: the image kept here, for its board', async () => {
      const { code, out } = await flashFor('board: small\n');
      expect(code).toBe(0);
      expect(out).toContain('images/atmega328p.hex');
      expect(out).toContain(`Afterwards: wholeturn flash --check --port /dev/ttyACM0 --stand ${file}`);
      expect(out).not.toContain('of this stand alone');
    });

    test('with pins of its own: how to build the image first, then that very image', async () => {
      const pins = 'board: small\npins: { enable: high }\n';
      const missing = await flashFor(pins);
      expect(missing.code).toBe(2);
      expect(missing.out).toBe('');
      expect(missing.err).toContain(`Build it: npm run build -- --stand ${file}`);
      const folder = ownImageFolder(file);
      const hex = ':00000001FF\n';
      mkdirSync(folder);
      writeFileSync(join(folder, 'atmega328p.hex'), hex);
      const { sources } = standImage('small', { enable: 'high' });
      const images = [{ file: 'atmega328p.hex', sha256: sha256(Buffer.from(hex)) }];
      writeFileSync(join(folder, 'manifest.json'), JSON.stringify({ sources, images }));
      const { code, out } = await flashFor(pins);
      expect(code).toBe(0);
      expect(out).toContain(`flash:w:${join(folder, 'atmega328p.hex')}:i`);
      expect(out).toContain('It is the image of this stand alone: it turns enable round.');
    });

    test('whose file does not say the board, says another, or is wrong', async () => {
      expect((await flashFor('')).err).toContain('or --stand FILE with "board:" in it');
      expect((await flashFor('', '--board', 'small')).out).toContain('atmega328p.hex');
      const other = await flashFor('board: reference\n', '--board', 'small');
      expect(other.err).toContain(`--board small, but ${file} says "board: reference". Leave --board out.`);
      const wrong = await flashFor('board: small\npins: { halt: low }\n');
      expect(wrong.err).toMatch(/mine\.yaml:\d+:\d+ pins\.halt "halt" may not be turned round: an open wire/);
      expect([other.code, wrong.code]).toEqual([1, 1]);
    });
  });

  test('--check where nothing is: in words, exit code 2', async () => {
    const { code, err } = await wholeturn('flash', '--check', '--port', '/dev/ttyNone');
    expect(err).toContain('There is no port /dev/ttyNone.');
    expect(code).toBe(2);
  });
});

test('ports --json is one list', async () => {
  const { code, out } = await wholeturn('ports', '--json');
  expect(code).toBe(0);
  expect(Array.isArray(JSON.parse(out).ports)).toBe(true);
});
