import type { View } from '../../firmware-host/server/messages';
import { tick } from '../live/place';

/** What it does and why, what that means for the glass, and what a person does next. */
export function Standing({ view }: { view: View }) {
  const glass = tick.value?.glass;
  return (
    <dl class="standing" aria-label="Where things stand">
      <div>
        <dt>Now</dt>
        <dd>
          <strong>{view.words}.</strong> {view.cutShort}
        </dd>
      </div>
      {glass === undefined ? null : (
        <div>
          <dt>The glass</dt>
          <dd>{glass}</dd>
        </div>
      )}
      {view.next === '' ? null : (
        <div>
          <dt>Next</dt>
          <dd>{view.next}</dd>
        </div>
      )}
    </dl>
  );
}
