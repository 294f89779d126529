/** What a run did to the glass under a virtual lap; shown once it has come to rest. */
import type { View } from '../../firmware-host/server/messages';
import { DrawnCanvas } from '../look/drawn-canvas';
import { unit } from '../settings';
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
  return (
    <DrawnCanvas
      class="worn-curves"
      words={`Heights before and after. ${worn.words}`}
      shows={[worn, unit.value ?? 'mm'] as const}
      draw={(ctx, [{ radiusMm, beforeNm, afterNm }, length], size, brush) =>
        drawWorn(ctx, { radiusMm, beforeNm, afterNm, unit: length }, size, brush)
      }
    />
  );
}
