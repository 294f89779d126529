/** What the host keeps of measuring and learning, as this page last heard it; and what is asked of it. */
import { signal } from '@preact/signals';
import type { RunOffered, Workbook } from '../../firmware-host/server/messages';
import type { LearnReport } from '../../planner/learn/learn-run';
import { ask } from '../live/connection';

export const workbook = signal<Workbook | null>(null);
export const learned = signal<{ report: LearnReport; run: RunOffered } | null>(null);

export async function refreshWorkbook(): Promise<void> {
  const answer = await ask({ ask: 'workbook' });
  if (answer.ok) workbook.value = answer;
}

/** Where it is refused the page says why in its strip. */
export async function keepMeasurement(text: string): Promise<void> {
  const answer = await ask({ ask: 'keepMeasurement', text });
  if (answer.ok) await refreshWorkbook();
}

export async function learnFrom(run: RunOffered, beforeId: number, afterId: number): Promise<void> {
  const answer = await ask({ ask: 'learn', runId: run.id, beforeId, afterId });
  if (!answer.ok) return;
  learned.value = { report: answer.report, run };
  await refreshWorkbook();
}
