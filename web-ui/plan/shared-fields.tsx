import { meanPressure } from '../../planner/removal/face';
import type { Shelf } from '../../planner/shelf/types';
import { plural } from '../words';
import { complaintsOf, SelectField } from './choices';
import type { Draft } from './draft';
import { NEWTON, RPM } from './number-entry';
import { ComplaintList, NumberField } from './number-field';
import { changeDraft } from './store';

/** What all stints have in common and what bears on the depth: lap, load, turntable. */
export function SharedFields({ draft, shelf }: { draft: Draft; shelf: Shelf }) {
  const { lap } = draft;
  const { pressurePa, pressurePsi } = meanPressure(lap);
  const rests = lap.load.lapWeightN + lap.load.armWeightN;
  return (
    <div class="group">
      <SelectField
        label="Lap"
        value={lap.id}
        options={titles(shelf.laps, lap)}
        onChoose={(id) => shelf.laps[id] && changeDraft({ lap: shelf.laps[id] })}
      >
        <ComplaintList complaints={complaintsOf('lap', null)} />
      </SelectField>
      <NumberField
        label="Load put on the lap"
        value={lap.load.addedN}
        unit={NEWTON}
        least={rests > 0 ? 0 : 0.1}
        most={5000}
        slide={[0, Math.max(20, lap.load.addedN)]}
        hint={`with lap and arm ${(rests + lap.load.addedN).toFixed(1)} N: ${(pressurePa / 1000).toFixed(2)} kPa (${pressurePsi.toFixed(2)} psi)`}
        onChange={(addedN, gesture) => changeDraft({ lap: { ...lap, load: { ...lap.load, addedN } } }, gesture)}
        complaints={complaintsOf('load', null)}
      />
      <NumberField
        label="Turntable"
        value={draft.turntableRpm}
        unit={RPM}
        least={0.05}
        most={60}
        slide={[0.1, 6]}
        onChange={(turntableRpm, gesture) => changeDraft({ turntableRpm }, gesture)}
        complaints={complaintsOf('turntable', null)}
      />
    </div>
  );
}

/** What the program is for. */
export function PurposeFields({ draft, shelf }: { draft: Draft; shelf: Shelf }) {
  const { glass, slurry } = draft;
  return (
    <div class="group">
      <SelectField
        label="Glass"
        value={glass.id}
        options={titles(shelf.glasses, glass)}
        onChoose={(id) => shelf.glasses[id] && changeDraft({ glass: shelf.glasses[id] })}
      >
        <ComplaintList complaints={complaintsOf('glass', null)} />
      </SelectField>
      <SelectField
        label="Slurry"
        value={slurry?.id ?? ''}
        options={[['', 'not said'], ...titles(shelf.slurries, slurry)]}
        onChoose={(id) => changeDraft({ slurry: shelf.slurries[id] ?? null })}
      >
        {slurry ? <p class="soft">stays wet {plural(slurry.wetMinutes, 'minute')}</p> : null}
      </SelectField>
    </div>
  );
}

/** Names of what lies on the shelf, and of what is in use though it does not lie there. */
function titles(
  onShelf: Record<string, { title: string }>,
  used: { id: string; title: string } | null,
): [string, string][] {
  const list = Object.entries(onShelf).map(([id, { title }]): [string, string] => [id, title]);
  return used === null || Object.hasOwn(onShelf, used.id) ? list : [[used.id, used.title], ...list];
}
