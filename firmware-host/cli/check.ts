import { compileProgram, type ProgramSummary } from '../../planner/steps/summary';
import { PROGRAM_HELP, PROGRAM_OPTIONS, readProgramFiles } from './files';
import { hanging, plural } from './program-words';
import { type Call, InputError, type Verb } from './verb';

/** Reads a program as strictly as a run would, compiles it and has the steps checked; says all that is wrong with it. */
export const check: Verb = {
  summary: 'Checks a stroke program: the writing, the glass, the limits of the stand, every step.',
  usage: 'check PROGRAM [--shelf FILE] [--stand FILE] [--json]',
  help: PROGRAM_HELP,
  options: PROGRAM_OPTIONS,
  positionals: [1, 1],
  async run(call: Call): Promise<number> {
    const { program, stand } = readProgramFiles(call);
    const { summary, complaints } = compileProgram(program, stand);
    if (summary === null) throw new InputError(complaints);
    if (call.json) call.out(`${JSON.stringify({ ok: true, complaints: [] })}\n`);
    else call.out(`${program.file}: ${verdict(summary)}`);
    return 0;
  },
};

/** It can be walked; whether it should be is another matter. */
function verdict({ turns, stints }: ProgramSummary): string {
  const evenness = Math.min(...stints.map((stint) => stint.evenness)).toFixed(2);
  const warnings = [...new Set(stints.flatMap((stint) => stint.warnings))];
  const can = `nothing to complain about, ${plural(turns, 'turn')} can be walked; the least even stint has an evenness of ${evenness} of 1.\n`;
  return can + warnings.map((warning) => `${hanging('  Beware: ', warning)}\n`).join('');
}
