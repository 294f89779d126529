import type { ComponentChildren } from 'preact';
import type { Request, View } from '../../firmware-host/server/messages';
import { ask, inControl } from '../live/connection';
import { person } from '../settings';
import { HoldButton } from './hold-button';
import { stopsAtWords } from './story';

/** Everyone may pause and stop, in any state of any page; shared by the buttons and the keys. */
export function askStop(): void {
  void ask({ ask: 'stop' });
}
export function askPauseOrNothing(view: View | null): void {
  if (view?.offered.pause) void ask({ ask: 'pause' });
}

/** Stops at the first touch, not at its end: a finger that slides off has still stopped it. */
export function StopButton({ connected }: { connected: boolean }) {
  return (
    <button
      type="button"
      class={connected ? 'stop' : 'stop unheard'}
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
      {connected ? <small class="keys">Shift+F8</small> : <small>no connection: use the stand’s own switch</small>}
    </button>
  );
}

function Command(props: {
  words: string;
  request: Request;
  disabled: boolean;
  strong?: boolean;
  small?: string;
  keys?: string;
}) {
  return (
    <button
      type="button"
      class={props.strong ? 'strong' : ''}
      aria-keyshortcuts={props.keys}
      disabled={props.disabled}
      onClick={() => void ask(props.request)}
    >
      {props.words}
      {props.small ? <small class={props.keys ? 'keys' : undefined}>{props.small}</small> : null}
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
 * shows the stand (`starts`); other pages have commands of their own in that place. Without news of the host (`old`) only Stop is left
 * to be tried.
 */
export function ControlBar(props: { view: View; starts: boolean; old: boolean; children?: ComponentChildren }) {
  const { view, starts, old } = props;
  const { offered } = view;
  const me = inControl.value;
  const holder = view.control.holder;
  return (
    <section class="control-bar" aria-label="Commands">
      <StopButton connected={!old} />
      {offered.pause ? <Command words="Pause" small="F8" keys="F8" disabled={old} request={{ ask: 'pause' }} /> : null}
      {offered.stopAtTurnEnd ? (
        <Command words="Stop at the end of the turn" disabled={old} request={{ ask: 'stopAtTurnEnd' }} />
      ) : null}
      {view.restsAtTurns === null ? null : <p class="bar-note">{stopsAtWords(view.restsAtTurns)}</p>}
      {props.children}
      {me && starts ? (
        <>
          {offered.resume ? (
            <HoldButton label="Resume" disabled={old} onHeld={() => void ask({ ask: 'resume' })} />
          ) : null}
          {offered.done ? (
            <HoldButton label="Done, go on" disabled={old} onHeld={() => void ask({ ask: 'done' })} />
          ) : null}
          {offered.clear ? (
            <Command words="Clear" small="moves nothing" strong disabled={old} request={{ ask: 'clear' }} />
          ) : null}
          {offered.reset ? (
            <Command words="Make ready" small="moves nothing" strong disabled={old} request={{ ask: 'reset' }} />
          ) : null}
          {offered.goOn && view.stoodAtTurns !== null ? (
            <HoldButton
              label={`${view.cutShort === null ? '' : 'The lap is up: '}${view.cutShort === null ? 'Go' : 'go'} on from turn ${view.stoodAtTurns.toFixed(2)}`}
              disabled={old}
              onHeld={() => void ask({ ask: 'goOn' })}
            />
          ) : null}
          {offered.startAnew ? (
            <HoldButton
              quiet
              label="Start anew"
              note={view.air ? 'from turn 0' : `works ${(view.stoodAtTurns ?? 0).toFixed(2)} turns again`}
              disabled={old}
              onHeld={() => void ask({ ask: 'startAnew' })}
            />
          ) : null}
          {offered.airRun ? (
            <HoldButton quiet label="Air run, lap up" disabled={old} onHeld={() => void ask({ ask: 'airRun' })} />
          ) : null}
          {offered.start ? <HoldButton label="Start" disabled={old} onHeld={() => void ask({ ask: 'start' })} /> : null}
        </>
      ) : me ? null : (
        <button
          type="button"
          class={starts ? 'strong' : ''}
          disabled={old}
          onClick={() => void ask({ ask: 'takeControl', name: person.value || 'Someone' })}
        >
          Take control
          <small>{holder ? `${holder} has it now` : 'this page only watches'}</small>
        </button>
      )}
    </section>
  );
}
