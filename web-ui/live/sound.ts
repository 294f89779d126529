/**
 * The sound before anything moves. A browser lets a page sound only after a person has done something on it: the context is woken by
 * the press that asks for motion, and by nothing else. Nothing in these pages mutes it.
 */
import { effect } from '@preact/signals';
import { tick } from './place';

const WARNING_HZ = 880;
const TONE_SECONDS = 0.22;
const LOUDNESS = 0.25;
/** A tone that is cut off clicks. */
const FADE_SECONDS = 0.02;

let context: AudioContext | null = null;

/** To be called while a person presses what starts motion. */
export function wakeSound(): void {
  context ??= new AudioContext();
  if (context.state === 'suspended') void context.resume();
}

function tone(): void {
  if (context === null) return;
  const { currentTime: now, destination } = context;
  const oscillator = new OscillatorNode(context, { frequency: WARNING_HZ });
  const gain = new GainNode(context, { gain: 0 });
  gain.gain.linearRampToValueAtTime(LOUDNESS, now + FADE_SECONDS);
  gain.gain.setValueAtTime(LOUDNESS, now + TONE_SECONDS - FADE_SECONDS);
  gain.gain.linearRampToValueAtTime(0, now + TONE_SECONDS);
  oscillator.connect(gain).connect(destination);
  oscillator.start(now);
  oscillator.stop(now + TONE_SECONDS);
}

/** Sounds once for every second of a countdown, on whichever page it is seen. */
export function soundCountdowns(): void {
  let sounded: number | null = null;
  effect(() => {
    const left = tick.value?.startsInSeconds ?? null;
    const second = left === null ? null : Math.ceil(left);
    if (second !== null && second !== sounded) tone();
    sounded = second;
  });
}
