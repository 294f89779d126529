/** Child process of kill.test.ts: writes checkpoints until it is killed, and says on stdout which ones it was told are kept. */
import { writeSync } from 'node:fs';
import { Logbook } from '../../firmware-host/logbook/logbook';
import { aCheckpoint, aRun } from './rows';

const logbook = Logbook.open(process.argv[2]!);
logbook.beginRun(aRun({ id: 'killed' }));
for (let number = 0; ; number++) {
  logbook.checkpoint('killed', aCheckpoint({ turnsWalked: number / 100 }));
  writeSync(1, `${number}\n`);
}
