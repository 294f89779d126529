import { useEffect, useRef } from 'preact/hooks';
import { eachFrame } from '../live/frame';
import type { Brush } from '../plan/brush';
import { look } from '../settings';
import { readBrush, sizeCanvas } from './canvas';

export interface Size {
  widthPx: number;
  heightPx: number;
}

/** A drawing that stands still: drawn anew when what it shows, its size or the look changes. */
export function DrawnCanvas<T extends readonly unknown[]>(props: {
  class: string;
  /** The drawing in words. */
  words: string;
  /** All it is drawn from; compared one by one by identity. */
  shows: T;
  draw: (ctx: CanvasRenderingContext2D, shows: T, size: Size, brush: Brush) => void;
}) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const now = useRef(props);
  now.current = props;
  useEffect(() => {
    const element = canvas.current!;
    const ctx = element.getContext('2d')!;
    let drawn: unknown[] = [];
    return eachFrame(() => {
      const { widthPx, heightPx, ratio, changed } = sizeCanvas(element);
      const { shows, draw } = now.current;
      const wanted = [...shows, look.value];
      if (widthPx === 0 || (!changed && wanted.every((each, i) => each === drawn[i]))) return;
      drawn = wanted;
      draw(ctx, shows, { widthPx, heightPx }, readBrush(ratio));
    });
  }, []);
  return <canvas ref={canvas} class={props.class} role="img" aria-label={props.words} />;
}
