/** What a run came to, in words. */
import { ENOUGH_EVENNESS } from '../../planner/gearing/choose';
import type { ProgramSummary } from '../../planner/steps/summary';
import { formatDuration } from '../../planner/units/format';
import type { RunPlan } from '../run/plan';
import type { RunReport } from '../run/types';
import { hanging, plural, stepsWords } from './program-words';
import { countedAt, countedWords } from './progress';

export interface ReportPageOptions {
  plan: RunPlan;
  summary: ProgramSummary;
  report: RunReport;
  /** Completes "What happened, ...:". */
  where: string;
  logbookFile: string;
}

export function reportPage({ plan, summary, report, where, logbookFile }: ReportPageOptions): string {
  const complete = report.state === 'Complete';
  const walked = complete ? plural(report.turnsWalked, 'whole turn') : `${report.turnsWalked.toFixed(2)} turns`;
  const exact =
    JSON.stringify([report.endSteps, report.travelSteps]) === JSON.stringify([summary.endSteps, summary.travelSteps]);
  const evenness = Math.min(...summary.stints.map((stint) => stint.evenness));
  const late =
    report.underruns === 0 && report.droopTicks === 0
      ? 'The computer was never late: the pace never had to wait for it.'
      : `The computer was late: the pace waited ${plural(report.droopTicks, 'tick')} and stood still ${plural(report.underruns, 'time')}; the path was kept.`;
  const furthest = `at most ${report.worstSlipDegrees.toFixed(2)} degrees off at an index`;
  const slip =
    report.slipSteps === 0
      ? `The turntable did not slip: ${furthest}.`
      : `The turntable had slipped ${plural(report.slipSteps, 'step')}, ${furthest}; made good.`;
  const line = `Line: ${plural(report.damagedFrames, 'frame')} damaged, ${report.resentFrames} sent again.`;
  const warnings = summary.stints.reduce((sum, stint) => sum + stint.warnings.length, 0);
  const sentences = [
    `${complete ? 'Done' : `${report.state}, not done`}: ${walked} of ${plan.path.turns} in ${formatDuration(report.durationSeconds)} ` +
      `(planned ${formatDuration(summary.durationSeconds)} and the time to get up to pace, ease and lift).`,
    `${countedWords(countedAt(plan, report.turnsWalked))}.`,
    `Steps made: ${stepsWords(report.endSteps)}${exact ? '; each as planned, to the step.' : '.'}`,
    `Least evenness of a stint ${evenness.toFixed(2)} (1 is perfectly even; below ${ENOUGH_EVENNESS} it warns)${warnings === 0 ? ', nothing to warn of.' : `, with ${plural(warnings, 'warning')} above.`}`,
    late,
    slip,
    line,
    ...(report.air ? ['An air run: the lap stayed up, nothing was taken off the glass.'] : []),
    `Kept in ${logbookFile} as run ${report.runId}${plan.stand.virtual ? ', marked virtual' : ''}${report.air ? ', as an air run' : ''}.`,
  ];
  return [`What happened, ${where}:`, ...sentences.map((words) => hanging('  ', words)), ''].join('\n');
}
