import { useState } from 'preact/hooks';
import type { View } from '../../firmware-host/server/messages';
import { person, unit } from '../settings';
import type { LengthUnit } from '../words';

const UNITS: [LengthUnit, string][] = [
  ['mm', 'Millimetres'],
  ['in', 'Inches'],
];

/** Once per browser: who is here, millimetres or inches, and in three sentences what this is. Nothing is kept before it is entered. */
export function FirstVisit({ view }: { view: View }) {
  const [name, setName] = useState(person.value);
  const [chosen, setChosen] = useState<LengthUnit>('mm');
  const [nameless, setNameless] = useState(false);
  const enter = (event: Event): void => {
    event.preventDefault();
    setNameless(name.trim() === '');
    if (name.trim() === '') return;
    person.value = name.trim();
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
      <form onSubmit={enter}>
        <label class="name">
          Your name, so that others see who is in control
          <input
            type="text"
            autocomplete="name"
            maxLength={40}
            value={name}
            aria-invalid={nameless}
            aria-describedby={nameless ? 'nameless' : undefined}
            onInput={(event) => setName(event.currentTarget.value)}
          />
        </label>
        <p id="nameless" role="alert">
          {nameless ? 'Write your name first: who stands at another page sees by it who has the stand in hand.' : ''}
        </p>
        <fieldset>
          <legend>How do you measure lengths?</legend>
          {UNITS.map(([value, words]) => (
            <label key={value}>
              <input type="radio" name="unit" checked={chosen === value} onChange={() => setChosen(value)} /> {words}
            </label>
          ))}
        </fieldset>
        <button type="submit" class="strong">
          Open the pages
        </button>
      </form>
    </main>
  );
}
