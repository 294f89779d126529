import type { View } from '../../firmware-host/server/messages';
import { person, unit } from '../settings';
import type { LengthUnit } from '../words';

/** Once per browser: who is here, millimetres or inches, and in three sentences what this is. */
export function FirstVisit({ view }: { view: View }) {
  const choose = (chosen: LengthUnit): void => {
    unit.value = chosen;
  };
  return (
    <main class="alone visit">
      <h1>Wholeturn strokes your mirror in whole turns.</h1>
      <p>
        You write down what you would do by hand: lap, setting, stroke, nudge, clocking, and for how many turns of the
        glass. The stand walks that path evenly, for hours if need be, and every change happens at the end of a turn.
        You can pause or stop it at any moment; it then knows its place to the step, and goes on from there when you say
        so.
      </p>
      {view.virtual ? <p class="strip">This is the virtual stand: nothing you do here touches a glass.</p> : null}
      <label class="name">
        Your name, so that others see who is in control
        <input
          type="text"
          autocomplete="name"
          maxLength={40}
          value={person.value}
          onInput={(event) => (person.value = event.currentTarget.value)}
        />
      </label>
      <fieldset>
        <legend>How do you measure lengths?</legend>
        <button type="button" class="strong" onClick={() => choose('mm')}>
          Millimetres
        </button>
        <button type="button" class="strong" onClick={() => choose('in')}>
          Inches
        </button>
      </fieldset>
    </main>
  );
}
