import { useEffect, useRef, useState } from 'preact/hooks';
import { wakeSound } from '../live/sound';

/** Starting motion takes a deliberate second; letting go earlier does nothing. Works with pointer, Enter and Space. */
const HOLD_MS = 1_000;

export function HoldButton(props: {
  label: string;
  onHeld: () => void;
  disabled: boolean;
  quiet?: boolean;
  /** What else it means to hold it. */
  note?: string;
}) {
  const [holding, setHolding] = useState(false);
  const timer = useRef<ReturnType<typeof setTimeout> | null>(null);
  const release = (): void => {
    if (timer.current !== null) clearTimeout(timer.current);
    timer.current = null;
    setHolding(false);
  };
  const press = (): void => {
    if (timer.current !== null || props.disabled) return;
    setHolding(true);
    // It will warn before anything moves.
    wakeSound();
    timer.current = setTimeout(() => {
      release();
      props.onHeld();
    }, HOLD_MS);
  };
  // News that stops to come lets go as a finger does.
  useEffect(() => {
    if (props.disabled) release();
  }, [props.disabled]);
  useEffect(() => release, []);
  return (
    <button
      type="button"
      class={`${props.quiet ? '' : 'strong '}hold ${holding ? 'holding' : ''}`}
      disabled={props.disabled}
      onPointerDown={(event) => {
        if (event.button === 0) press();
      }}
      onPointerUp={release}
      onPointerLeave={release}
      onPointerCancel={release}
      onKeyDown={(event) => {
        if ((event.key === 'Enter' || event.key === ' ') && !event.repeat) press();
        if (event.key === 'Enter' || event.key === ' ') event.preventDefault();
      }}
      onKeyUp={release}
      onBlur={release}
      onContextMenu={(event) => event.preventDefault()}
    >
      <span class="hold-fill" aria-hidden="true" />
      <span class="hold-label">
        {props.label}
        <small>{holding ? 'keep holding …' : `${props.note ? `${props.note}; ` : ''}hold one second`}</small>
      </span>
    </button>
  );
}
