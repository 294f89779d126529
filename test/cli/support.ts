import { check } from '../../firmware-host/cli/check';
import { runCommandLine, type Verbs } from '../../firmware-host/cli/command-line';
import { compile } from '../../firmware-host/cli/compile';
import { logbook } from '../../firmware-host/cli/logbook';
import { rehearse } from '../../firmware-host/cli/rehearse';
import type { Surroundings } from '../../firmware-host/cli/verb';

const VERBS: Verbs = { check: () => check, compile: () => compile, rehearse: () => rehearse, logbook: () => logbook };

export interface Said {
  code: number;
  out: string;
  err: string;
}

/** Runs the command line in this process. `WHOLETURN_HOME` keeps the logbook of tests out of the person's own. */
export async function wholeturn(
  args: readonly string[],
  home: string,
  over: Partial<Surroundings> = {},
  verbs = VERBS,
): Promise<Said> {
  const said: Said = { code: 0, out: '', err: '' };
  said.code = await runCommandLine(args, verbs, {
    out: (text) => {
      said.out += text;
    },
    err: (text) => {
      said.err += text;
    },
    terminal: false,
    environment: { WHOLETURN_HOME: home },
    onInterrupt: () => () => {},
    ...over,
  });
  return said;
}
