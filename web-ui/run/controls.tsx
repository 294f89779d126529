import type { ComponentChildren } from 'preact';
import type { Request, View } from '../../firmware-host/server/messages';
import { ask, inControl } from '../live/connection';
import { person } from '../settings';
import { HoldButton } from './hold-button';

/** Everyone may pause and stop, in any state of any page; shared by the buttons and the keys. */
export function askStop(): void {
  void ask({ ask: 'stop' });
}
export function askPauseOrNothing(view: View | null): void {
  if (view?.offered.pause) void ask({ ask: 'pause' });
}

/** Stops at the first touch, not at its end: a finger that slides off has still stopped it. */
export function StopButton() {
  return (
    <button
      type="button"
      class="stop"
      aria-keyshortcuts="Shift+F8"
      onPointerDown={(event) => {
        if (event.button === 0) askStop();
      }}
      onClick={(event) => {
        // Keyboard and assistive technology: there was no pointer.
        if (event.detail === 0) askStop();
      }}
    >
      Stop
      <small>Shift+F8</small>
    </button>
  );
}

function Command(props: { words: string; request: Request; strong?: boolean; small?: string; keys?: string }) {
  return (
    <button
      type="button"
      class={props.strong ? 'strong' : ''}
      aria-keyshortcuts={props.keys}
      onClick={() => void ask(props.request)}
    >
      {props.words}
      {props.small ? <small>{props.small}</small> : null}
    </button>
  );
}

const PACES: [number, string][] = [
  [1, 'Full'],
  [0.75, 'Three quarters'],
  [0.5, 'Half'],
  [0.25, 'A quarter'],
];

export function PaceChoice({ view }: { view: View }) {
  return (
    <fieldset class="pace" disabled={!inControl.value}>
      <legend>Pace</legend>
      {PACES.map(([target, words]) => (
        <label key={words}>
          <input
            type="radio"
            name="pace"
            checked={Math.abs(view.paceTarget - target) < 0.02}
            onChange={() => void ask({ ask: 'pace', target })}
          />
          <span>{words}</span>
        </label>
      ))}
    </fieldset>
  );
}

/**
 * The bar at the foot of every page: what can be done now, and Stop, always in the same place. Motion starts only from the page that
 * shows the stand (`starts`); other pages have commands of their own in that place.
 */
export function ControlBar(props: { view: View; starts: boolean; children?: ComponentChildren }) {
  const { view, starts } = props;
  const { offered } = view;
  const me = inControl.value;
  const holder = view.control.holder;
  return (
    <section class="control-bar" aria-label="Commands">
      <StopButton />
      {offered.pause ? <Command words="Pause" small="F8" keys="F8" request={{ ask: 'pause' }} /> : null}
      {offered.stopAtTurnEnd ? (
        <Command words="Stop at the end of the turn" request={{ ask: 'stopAtTurnEnd' }} />
      ) : null}
      {props.children}
      {me && starts ? (
        <>
          {offered.resume ? <HoldButton label="Resume" onHeld={() => void ask({ ask: 'resume' })} /> : null}
          {offered.done ? <HoldButton label="Done, go on" onHeld={() => void ask({ ask: 'done' })} /> : null}
          {offered.clear ? <Command words="Clear" small="moves nothing" strong request={{ ask: 'clear' }} /> : null}
          {offered.reset ? (
            <Command words="Make ready" small="moves nothing" strong request={{ ask: 'reset' }} />
          ) : null}
          {offered.goOn && view.stoodAtTurns !== null ? (
            <HoldButton
              label={`${view.cutShort === null ? '' : 'The lap is up: '}${view.cutShort === null ? 'Go' : 'go'} on from turn ${view.stoodAtTurns.toFixed(2)}`}
              onHeld={() => void ask({ ask: 'goOn' })}
            />
          ) : null}
          {offered.startAnew ? <HoldButton label="Start anew" onHeld={() => void ask({ ask: 'startAnew' })} /> : null}
          {offered.airRun ? (
            <HoldButton quiet label="Air run, lap up" onHeld={() => void ask({ ask: 'airRun' })} />
          ) : null}
          {offered.start ? <HoldButton label="Start" onHeld={() => void ask({ ask: 'start' })} /> : null}
        </>
      ) : me ? null : (
        <button
          type="button"
          class={starts ? 'strong' : ''}
          onClick={() => void ask({ ask: 'takeControl', name: person.value || 'Someone' })}
        >
          Take control
          <small>{holder ? `${holder} has it now` : 'this page only watches'}</small>
        </button>
      )}
    </section>
  );
}
