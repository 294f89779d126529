/** The shadow picture: what the eye behind the knife would see of the profile as measured. */
import { useEffect, useRef, useState } from 'preact/hooks';
import type { SourceKind } from '../../planner/figure/knife-edge';
import { evenGreyMm, shadowPicture } from '../../planner/figure/shadow';
import type { Figure } from '../../planner/figure/types';
import { shown } from '../plan/number-entry';
import { look, unit } from '../settings';
import { READING } from './draft';

const PIXELS = 240;
/** How far the knife may be moved to either side of the even grey, as shares of the span of the readings; and how soft the slit is. */
const SPAN = 0.6;
const SLIT_SHARE = 0.06;

export function ShadowPicture({ figure, source }: { figure: Figure; source: SourceKind }) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const [share, setShare] = useState(0);
  const span = spanMm(figure, source);
  const grey = evenGreyMm(figure, source);
  const knifeMm = grey + share * span;
  const length = unit.value ?? 'mm';
  const from =
    share === 0
      ? 'where most of the glass is evenly grey, near the centre of curvature'
      : `${shown(Math.abs(share * span), READING[length])} ${length} ${share > 0 ? 'further out' : 'nearer to the glass'}`;
  useEffect(() => {
    const picture = shadowPicture(figure, { source, knifeMm, slitMm: slitMm(figure, span), pixels: PIXELS });
    paint(canvas.current!, picture, look.value === 'red');
  }, [figure, source, knifeMm, look.value]);
  return (
    <figure class="shadow">
      <canvas
        ref={canvas}
        width={PIXELS}
        height={PIXELS}
        role="img"
        aria-label={`Shadow picture of the glass with the knife ${from}, coming in from the left.`}
      />
      <figcaption>
        <label>
          <span class="soft">Knife {from}</span>
          <input
            type="range"
            aria-valuetext={`Knife ${from}`}
            min={-1}
            max={1}
            step={0.02}
            value={share / SPAN}
            onInput={(event) => setShare(SPAN * event.currentTarget.valueAsNumber)}
          />
        </label>
        <p class="soft">What a knife-edge would show of this profile, by rays, without diffraction.</p>
      </figcaption>
    </figure>
  );
}

/** How far readings spread on this glass, mm: from the middle to the rim of the asked figure, and never nothing. */
function spanMm({ glass }: Figure, source: SourceKind): number {
  const reach = (glass.clearApertureMm / 2) ** 2 / glass.radiusOfCurvatureMm;
  const share = Math.max(0.1, Math.abs(glass.conicConstant));
  return (source === 'moving' ? 0.5 : 1) * share * reach;
}

/** Soft enough that a tenth of a wave shows as a shade and not as black and white. */
function slitMm({ glass }: Figure, span: number): number {
  return (SLIT_SHARE * span * glass.clearApertureMm) / glass.radiusOfCurvatureMm + 0.02;
}

function paint(canvas: HTMLCanvasElement, picture: Float32Array, red: boolean): void {
  const ctx = canvas.getContext('2d')!;
  const image = ctx.createImageData(PIXELS, PIXELS);
  picture.forEach((value, i) => {
    if (value < 0) return;
    // The dim red look keeps the eye's adaptation: its white is no brighter than its letters.
    const bright = Math.round(20 + (red ? 150 : 225) * value);
    image.data[4 * i] = bright;
    image.data[4 * i + 1] = red ? 0.3 * bright : bright;
    image.data[4 * i + 2] = red ? 0.26 * bright : bright;
    image.data[4 * i + 3] = 255;
  });
  ctx.putImageData(image, 0, 0);
}
