import { execFileSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { runCommandLine } from '../../firmware-host/cli/command-line';
import { flash, quoted } from '../../firmware-host/cli/flash';
import { ports } from '../../firmware-host/cli/ports';

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
