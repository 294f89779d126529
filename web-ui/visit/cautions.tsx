import type { View } from '../../firmware-host/server/messages';
import { CAUTIONS } from '../../planner/stand/cautions';
import { ask } from '../live/connection';
import { person } from '../settings';

/** Before the first real run of each person. The virtual stand needs none, and says so. */
export function Cautions({ view }: { view: View }) {
  if (view.virtual || view.cautionsAcknowledged.includes(person.value)) return null;
  return (
    <section class="cautions" role="dialog" aria-modal="false" aria-labelledby="cautions-title">
      <h2 id="cautions-title">Before your first real run</h2>
      <ul>
        {CAUTIONS.map((caution) => (
          <li key={caution}>{caution}</li>
        ))}
      </ul>
      <button
        type="button"
        class="strong"
        onClick={() => void ask({ ask: 'acknowledgeCautions', name: person.value || 'Someone' })}
      >
        I have read this, and the stand has such a stop
      </button>
    </section>
  );
}
