/** Entry of the thread that reduces, learns and keeps measurements. Answers in the order it is asked. */
import { randomInt } from 'node:crypto';
import { parentPort, workerData } from 'node:worker_threads';
import { WorkbookKeeper } from './workbook';
import type { FromWorkbook, ToWorkbook } from './workbook-host';

/** Noise of virtual readings; another one at each reading, as on iron. */
const evenly = (): number => randomInt(2 ** 40) / 2 ** 40;

const people = parentPort!;
const { file } = workerData as { file: string };

function answerOf(keeper: WorkbookKeeper, { call }: ToWorkbook): FromWorkbook['answer'] {
  if (call.ask === 'workbook') return keeper.workbook();
  if (call.ask === 'keepMeasurement') return keeper.keepMeasurement(call.text, call.atHand, Date.now());
  if (call.ask === 'readVirtualGlass') return keeper.readVirtualGlass(call, evenly);
  return keeper.learn(call, call.atHand, Date.now());
}

let keeper: WorkbookKeeper | null = null;
people.on('message', (message: ToWorkbook) => {
  let answer: FromWorkbook['answer'];
  try {
    keeper ??= WorkbookKeeper.open(file);
    answer = answerOf(keeper, message);
  } catch (error) {
    answer = { ok: false, words: `The logbook could not be used: ${(error as Error).message}` };
  }
  people.postMessage({ id: message.id, answer } satisfies FromWorkbook);
});
