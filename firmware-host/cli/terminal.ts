/** The terminal this process was started from. */
import { createInterface } from 'node:readline';
import type { Surroundings } from './verb';

export function terminal(): Surroundings {
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
  return surroundings;
}
