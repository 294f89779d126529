/** The canvas element around sheet-canvas: sizes, looks, the hand that pulls, and the same in words for who cannot see it. */
import { useEffect, useRef, useState } from 'preact/hooks';
import { peakIndex } from '../../planner/removal/profile-measures';
import { eachFrame } from '../live/frame';
import { readBrush, sizeCanvas } from '../look/canvas';
import { look, standing, unit } from '../settings';
import type { SheetScene } from './brush';
import type { Draft, StintDraft } from './draft';
import { PinButton } from './pin-button';
import { drawSheet } from './sheet-canvas';
import {
  depthRange,
  type Grip,
  type Handle,
  handleAt,
  layOut,
  type Point,
  pull,
  type Sheet,
  SNAP_MM,
  takeHold,
} from './sheet-geometry';
import { changeShown, complaints, light, pinned, settleChange } from './store';

let pulls = 0;

export function SheetView(props: { draft: Draft; stint: StintDraft; several: boolean; words: string }) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const [active, setActive] = useState<Handle | null>(null);
  const sheet = useRef<Sheet | null>(null);
  const grip = useRef<(Grip & { gesture: string }) | null>(null);
  const range = useRef(0);
  const now = useRef({ ...props, active });
  now.current = { ...props, active };

  useEffect(() => {
    const element = canvas.current!;
    const ctx = element.getContext('2d')!;
    let drawn: unknown[] = [];
    return eachFrame(() => {
      const { widthPx, heightPx, ratio, changed } = sizeCanvas(element);
      if (widthPx === 0) return;
      const { draft, stint, several, active } = now.current;
      const unworkable = complaints.value.length > 0;
      const follows = [light.value, pinned.value, unworkable, look.value, unit.value, standing.value];
      const wanted = [draft, stint, several, active, ...follows];
      if (!changed && wanted.every((each, index) => each === drawn[index])) return;
      drawn = wanted;
      const profile = light.value?.profile ?? null;
      const kept = pinned.value?.profile ?? null;
      const deepest = Math.max(
        0,
        ...[profile, kept].map((each) =>
          each ? each.depthNm[peakIndex({ stepMm: each.stepMm, depthNm: each.depthNm })]! : 0,
        ),
      );
      range.current = depthRange(deepest, range.current);
      // While a hand pulls, the scale stands still under it.
      const keepScale = grip.current ? (sheet.current?.pxPerMm ?? null) : null;
      sheet.current = layOut({ widthPx, heightPx }, draft.glass, stint, standing.value, keepScale);
      const scene: SheetScene = {
        glass: draft.glass,
        lap: draft.lap,
        stint,
        curve: profile,
        own: profile && several ? { stepMm: profile.stepMm, depthNm: profile.stintNm } : null,
        pinned: kept,
        unworkable,
        rangeNm: range.current,
        unit: unit.value ?? 'mm',
        standing: standing.value,
        active,
      };
      drawSheet(ctx, scene, sheet.current, readBrush(ratio));
    });
  }, []);

  const pointAt = (event: { clientX: number; clientY: number }): Point => {
    const box = canvas.current!.getBoundingClientRect();
    return { xPx: event.clientX - box.left, yPx: event.clientY - box.top };
  };
  const under = (at: Point): Handle | null => {
    const { stint, draft } = now.current;
    return sheet.current && handleAt(sheet.current, stint, draft.lap.outline.diameterMm / 2, at);
  };
  const release = (): void => {
    if (grip.current === null) return;
    grip.current = null;
    settleChange();
    setActive(null);
  };

  // A finger on a handle pulls it, elsewhere it scrolls the page; that is decided where the finger comes down.
  useEffect(() => {
    const element = canvas.current!;
    const onTouch = (event: TouchEvent): void => {
      const touch = event.touches[0];
      if (touch && under(pointAt(touch)) !== null) event.preventDefault();
    };
    element.addEventListener('touchstart', onTouch, { passive: false });
    return () => element.removeEventListener('touchstart', onTouch);
  }, []);

  return (
    <div class="sheet-place">
      <figure class="sheet-view">
        <canvas
          ref={canvas}
          role="img"
          aria-label={props.words}
          class={active ? 'pulls' : ''}
          onPointerDown={(event) => {
            if (event.button !== 0 || sheet.current === null) return;
            const at = pointAt(event);
            const handle = under(at);
            if (handle === null) return;
            event.preventDefault();
            event.currentTarget.setPointerCapture(event.pointerId);
            grip.current = { ...takeHold(sheet.current, props.stint, handle, at), gesture: `pull ${++pulls}` };
            setActive(handle);
          }}
          onPointerMove={(event) => {
            const at = pointAt(event);
            if (grip.current === null || sheet.current === null) {
              setActive(under(at));
              return;
            }
            const { draft, stint } = now.current;
            const snap = SNAP_MM[unit.value ?? 'mm'];
            changeShown(pull(sheet.current, stint, draft.glass, grip.current, at, snap), grip.current.gesture);
          }}
          onPointerUp={release}
          onPointerCancel={release}
          onPointerLeave={() => {
            if (grip.current === null) setActive(null);
          }}
        />
        <figcaption class="under-sheet">
          <PinButton />
        </figcaption>
      </figure>
    </div>
  );
}
