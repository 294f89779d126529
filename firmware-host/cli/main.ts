/** The way in from a terminal: `npm run -s wholeturn -- VERB ...`. */
import { createInterface } from 'node:readline';
import { runCommandLine } from './command-line';
import type { Surroundings } from './verb';
import { VERBS } from './verbs';

const surroundings: Surroundings = {
  out: (text: string) => process.stdout.write(text),
  err: (text: string) => process.stderr.write(text),
  terminal: process.stderr.isTTY === true,
  environment: process.env,
  onInterrupt(stop: () => void) {
    process.once('SIGINT', stop).once('SIGTERM', stop);
    return () => process.off('SIGINT', stop).off('SIGTERM', stop);
  },
};
if (process.stdin.isTTY)
  surroundings.onLine = (listener) => {
    const lines = createInterface({ input: process.stdin });
    lines.on('line', listener);
    return () => lines.close();
  };

runCommandLine(process.argv.slice(2), VERBS, surroundings).then((code) => {
  process.exitCode = code;
});
