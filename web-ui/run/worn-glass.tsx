/** What a run did to the glass under a virtual lap; shown once it has come to rest. */
import { useEffect, useRef } from 'preact/hooks';
import type { View } from '../../firmware-host/server/messages';
import { eachFrame } from '../live/frame';
import { readBrush } from '../plan/sheet-view';
import { look, unit } from '../settings';
import { sizeCanvas } from './glass-view';
import { drawWorn } from './worn-canvas';

type Worn = NonNullable<View['virtualGlass']>;

export function WornGlass({ worn }: { worn: Worn }) {
  return (
    <section class="worn" aria-label="What it did to the virtual glass">
      <h2>
        What it did to the virtual glass <span class="soft">({worn.glassTitle}; no real glass was touched)</span>
      </h2>
      <p class="numeric">{worn.words}</p>
      <WornCurves worn={worn} />
      <p class="soft">
        Dashed: before this run. Solid: after it. Height above the asked curve along the radius, the mean round the
        glass. This glass was made when the host started, with a hidden lean, coefficient and rim of its own, and is
        gone when the host stops.
      </p>
    </section>
  );
}

function WornCurves({ worn }: { worn: Worn }) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const now = useRef(worn);
  now.current = worn;
  useEffect(() => {
    const element = canvas.current!;
    const ctx = element.getContext('2d')!;
    let drawn: unknown[] = [];
    return eachFrame(() => {
      const { widthPx, ratio, changed } = sizeCanvas(element);
      const { radiusMm, beforeNm, afterNm } = now.current;
      const wanted = [look.value, unit.value, now.current];
      if (widthPx === 0 || (!changed && wanted.every((each, i) => each === drawn[i]))) return;
      drawn = wanted;
      const scene = { radiusMm, beforeNm, afterNm, unit: unit.value ?? 'mm' };
      drawWorn(ctx, scene, { widthPx, heightPx: element.clientHeight }, readBrush(ratio));
    });
  }, []);
  return <canvas ref={canvas} class="worn-curves" role="img" aria-label={`Heights before and after. ${worn.words}`} />;
}
