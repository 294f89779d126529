import { compileProgram } from '../../planner/steps/summary';
import { PROGRAM_HELP, PROGRAM_OPTIONS, readProgramFiles } from './files';
import { programPage } from './program-words';
import { type Call, InputError, type Verb } from './verb';

/** What a program comes to in whole turns, strokes and steps. */
export const compile: Verb = {
  summary: 'Compiles a stroke program: whole turns, strokes, steps, evenness.',
  usage: 'compile PROGRAM [--shelf FILE] [--stand FILE] [--json]',
  help: PROGRAM_HELP,
  options: PROGRAM_OPTIONS,
  positionals: [1, 1],
  async run(call: Call): Promise<number> {
    const { program, stand } = readProgramFiles(call);
    const { summary, complaints } = compileProgram(program, stand);
    if (summary === null) throw new InputError(complaints);
    if (call.json) call.out(`${JSON.stringify(summary)}\n`);
    else call.out(programPage(program, stand, summary));
    return 0;
  },
};
