/** The way in from a terminal: `npm run -s wholeturn -- VERB ...`. */
import { runCommandLine } from './command-line';
import { terminal } from './terminal';
import { VERBS } from './verbs';

runCommandLine(process.argv.slice(2), VERBS, terminal()).then((code) => {
  process.exitCode = code;
});
