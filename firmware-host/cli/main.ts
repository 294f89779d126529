/** The way in from a terminal: `npm run -s wholeturn -- VERB ...`. */
import { runCommandLine } from './command-line';
import { VERBS } from './verbs';

const surroundings = {
  out: (text: string) => process.stdout.write(text),
  err: (text: string) => process.stderr.write(text),
  terminal: process.stderr.isTTY === true,
  environment: process.env,
  onInterrupt(stop: () => void) {
    process.once('SIGINT', stop).once('SIGTERM', stop);
    return () => process.off('SIGINT', stop).off('SIGTERM', stop);
  },
};

runCommandLine(process.argv.slice(2), VERBS, surroundings).then((code) => {
  process.exitCode = code;
});
