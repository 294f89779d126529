import type { View } from '../../firmware-host/server/messages';
import { ask } from '../live/connection';
import { person } from '../settings';

/** Before the first real run of each person. The virtual stand needs none, and says so. */
export function Cautions({ view }: { view: View }) {
  if (view.virtual || view.cautionsAcknowledged.includes(person.value)) return null;
  return (
    <section class="cautions" role="dialog" aria-modal="false" aria-labelledby="cautions-title">
      <h2 id="cautions-title">Before your first real run</h2>
      <ul>
        <li>
          Parts move by themselves and can pinch. Keep hands, hair, sleeves and cloths away while drives are on; fit
          guards.
        </li>
        <li>
          Mains and motor supplies can kill. Wiring, earthing and protection follow your local code and are a qualified
          person’s work.
        </li>
        <li>
          Polishing and grinding dust harms lungs. Work wet, wipe up, never let it dry and fly; wear what your local
          rules ask for.
        </li>
        <li>
          Glass is heavy and breaks. Retain it with a little play, never clamp it; lift larger pieces with two people.
        </li>
        <li>
          Stop on this page is a request to a program over a cable. It is no emergency stop and no safety function. A
          hard-wired latching emergency stop that removes motor power without this computer comes first.
        </li>
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
