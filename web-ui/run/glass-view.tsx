/** The canvas element around glass-canvas: the frame loop, and the same in words for who cannot see it. */
import { useEffect, useRef } from 'preact/hooks';
import type { Path, Place } from '../../planner/path/types';
import type { Glass, Lap } from '../../planner/shelf/types';
import { eachFrame } from '../live/frame';
import { lastTick, turnsNow } from '../live/place';
import { readInk, sizeCanvas } from '../look/canvas';
import { look } from '../settings';
import { logDrawn } from './draw-log';
import { drawMoving, drawStill, toPixels, type Viewport } from './glass-canvas';
import { drawRibbon } from './ribbon-canvas';
import { stintAt } from './story';
import { Trail } from './trail';

export function GlassView(props: { path: Path; glass: Glass; lap: Lap; lapIsDown: boolean; words: string }) {
  const { path, glass, lap } = props;
  const still = useRef<HTMLCanvasElement>(null);
  const moving = useRef<HTMLCanvasElement>(null);
  const isDown = useRef(props.lapIsDown);
  isDown.current = props.lapIsDown;
  useEffect(() => {
    const stillCanvas = still.current!;
    const movingCanvas = moving.current!;
    const stillCtx = stillCanvas.getContext('2d')!;
    const movingCtx = movingCanvas.getContext('2d')!;
    const trail = new Trail(path);
    const sample = new Float64Array(8);
    let drawnLook = '';
    let ink = readInk();
    return eachFrame(() => {
      const { widthPx, ratio, changed } = sizeCanvas(stillCanvas);
      sizeCanvas(movingCanvas);
      if (widthPx === 0) return;
      const viewport: Viewport = { sizePx: widthPx, ratio };
      if (changed || drawnLook !== look.value) {
        drawnLook = look.value;
        ink = readInk();
        drawStill(stillCtx, glass, ink, viewport);
      }
      const turns = Math.min(path.turns, turnsNow(performance.now()));
      path.sample(turns, sample);
      const place: Place = { turntableTurns: sample[0]!, xMm: sample[1]!, yMm: sample[2]!, lapTurns: sample[3]! };
      trail.walkTo(turns);
      const settingMm = stintAt(path, turns).stint.geared.stint.settingMm;
      drawMoving(
        movingCtx,
        { glass, lap, place, settingMm, trail, lapIsDown: isDown.current, showTrail: true },
        ink,
        viewport,
      );
      const tick = lastTick();
      logDrawn({
        what: 'lap',
        turnsWalked: turns,
        xMm: place.xMm,
        yMm: place.yMm,
        ...toPixels(place.xMm, place.yMm, glass, viewport),
        lapTurns: place.lapTurns,
        glassTurns: place.turntableTurns,
        trailPoints: trail.count,
        tickNumber: tick?.number ?? null,
        sentAtMs: tick?.sentAtMs ?? null,
        drawnAtMs: Date.now(),
      });
    });
  }, [path, glass, lap]);
  return (
    <figure class="glass-view">
      <canvas ref={still} />
      <canvas ref={moving} role="img" aria-label={props.words} />
      <figcaption>You stand here</figcaption>
    </figure>
  );
}

export function RibbonView(props: { path: Path; words: string }) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const { path } = props;
  useEffect(() => {
    const element = canvas.current!;
    const ctx = element.getContext('2d')!;
    return eachFrame(() => {
      const size = sizeCanvas(element);
      if (size.widthPx > 0) drawRibbon(ctx, path, Math.min(path.turns, turnsNow(performance.now())), readInk(), size);
    });
  }, [path]);
  return <canvas ref={canvas} class="ribbon" role="img" aria-label={props.words} />;
}
