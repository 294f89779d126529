/** Everything that can be said against a piece of work before anything is computed. */
import type { Glass, Lap } from '../shelf/types';
import { loadN } from './face';
import type { Reason } from './refusal';
import { type RemovalTask, RING_STEP_MM } from './removal-task';

export function checkWork(task: RemovalTask): Reason[] {
  const reasons: Reason[] = [];
  const say = (field: string, message: string): number => reasons.push({ field, message });
  checkNumbers(task, say);
  if (reasons.length > 0) return reasons;
  checkGlass(task.glass, say);
  checkLap(task.lap, say);
  if (task.lap.outline.diameterMm > task.glass.diameterMm) {
    const { lap, glass } = task;
    say(
      'lap',
      `The lap (${lap.outline.diameterMm} mm) is larger than the glass (${glass.diameterMm} mm): the forecast is for laps ` +
        'that work a zone. Choose a smaller lap.',
    );
  }
  const leastMm = 4 * (task.ringStepMm ?? RING_STEP_MM);
  if (task.lap.outline.diameterMm > 0 && task.lap.outline.diameterMm < leastMm) {
    say('lap.diameter', `A lap under ${leastMm} mm falls between the rings that are forecast. Choose a larger lap.`);
  }
  return reasons;
}

type Say = (field: string, message: string) => void;

function checkNumbers(task: RemovalTask, say: Say): void {
  const { path, lap, glass, kPerPa, untilTurns, ringStepMm, pointStepMm } = task;
  const numbers: Record<string, number | undefined> = {
    'lap.outline.diameter': lap.outline.diameterMm,
    'lap.load.added': lap.load.addedN,
    'lap.load.lapWeight': lap.load.lapWeightN,
    'lap.load.armWeight': lap.load.armWeightN,
    'lap.pivotHeight': lap.pivotHeightMm,
    'lap.friction': lap.friction,
    'glass.diameter': glass.diameterMm,
    'glass.clearAperture': glass.clearApertureMm,
    'glass.bevel': glass.bevelMm,
    'glass.hole': glass.holeMm,
    'glass.radiusOfCurvature': glass.radiusOfCurvatureMm,
    'glass.conicConstant': glass.conicConstant,
    k: kPerPa,
    turns: path.turns,
    until: untilTurns ?? 0,
    ringStep: ringStepMm ?? 1,
    pointStep: pointStepMm ?? 1,
    ...(lap.outline.shape === 'star' && { 'lap.points': lap.outline.points, 'lap.depth': lap.outline.depthMm }),
    ...(lap.facets && {
      'lap.facets.pitch': lap.facets.pitchMm,
      'lap.facets.channel': lap.facets.channelMm,
      'lap.facets.offsetX': lap.facets.offsetXMm,
      'lap.facets.offsetY': lap.facets.offsetYMm,
    }),
  };
  for (const [field, value] of Object.entries(numbers)) {
    if (!Number.isFinite(value))
      say(field, `This is not a number (${value}); nothing can be said about the glass. Give one.`);
  }
  if (!(kPerPa > 0))
    say('k', 'The removal coefficient must be above 0. Learn it from a measured run, or begin with 8e-13 /Pa.');
  if (!(path.turns > 0)) say('turns', 'The program walks no turns, so it does nothing to the glass.');
  if ((ringStepMm ?? 1) <= 0 || (pointStepMm ?? 1) <= 0) say('step', 'Steps of the forecast must be above 0.');
}

function checkGlass(glass: Glass, say: Say): void {
  if (glass.diameterMm <= 0) say('glass.diameter', 'The glass needs a diameter above 0.');
  if (glass.bevelMm < 0) say('glass.bevel', 'A bevel cannot be negative; give 0 for none.');
  if (glass.holeMm < 0) say('glass.hole', 'A hole cannot be negative; give 0 for none.');
  if (glass.holeMm + 4 * glass.bevelMm >= glass.diameterMm) {
    say('glass.hole', 'Hole and bevels leave no glass to polish. Check their sizes.');
  }
}

function checkLap(lap: Lap, say: Say): void {
  const { outline, facets, load } = lap;
  if (outline.diameterMm <= 0) say('lap.diameter', 'The lap needs a diameter above 0.');
  if (outline.shape === 'star') {
    if (!Number.isInteger(outline.points) || outline.points < 2) {
      say('lap.points', `A star needs a whole number of points, at least 2, not ${outline.points}.`);
    }
    if (outline.depthMm < 0 || outline.depthMm >= outline.diameterMm / 2) {
      say(
        'lap.depth',
        `A rim cut back by ${outline.depthMm} mm leaves a star of ${outline.diameterMm} mm without contact between its ` +
          'points. The depth must be less than the radius.',
      );
    }
  }
  if (facets) {
    if (facets.pitchMm <= 0 || facets.pitchMm > outline.diameterMm) {
      say(
        'lap.facets.pitch',
        `Facets at a pitch of ${facets.pitchMm} mm do not fit a lap of ${outline.diameterMm} mm; the face would be one ` +
          'facet. Make the pitch smaller than the lap or leave the facets out.',
      );
    }
    if (facets.channelMm < 0 || facets.channelMm >= facets.pitchMm) {
      say('lap.facets.channel', 'Channels must be narrower than the pitch, or no pitch is left to touch the glass.');
    }
  }
  if (load.addedN < 0 || load.lapWeightN < 0 || load.armWeightN < 0) {
    say('lap.load', 'A load lifts if it is negative; a lap that is relieved takes off nothing that can be forecast.');
  }
  if (loadN(lap) <= 0)
    say('lap.load', 'Nothing presses the lap on the glass, so nothing is taken off. Give it a load.');
  if (lap.friction < 0) say('lap.friction', 'Friction cannot be negative.');
  if (lap.pivotHeightMm < 0) say('lap.pivotHeight', 'The pivot cannot lie below the glass.');
}
