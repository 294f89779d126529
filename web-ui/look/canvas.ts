/** What a canvas is drawn with: its size in the pixels of the screen, and the colours and letters of the look. */
import type { Brush } from '../plan/brush';
import type { Ink } from '../run/glass-canvas';

export function readInk(): Ink {
  const style = getComputedStyle(document.documentElement);
  const token = (name: string): string => style.getPropertyValue(name).trim();
  return {
    ink: token('--ink'),
    soft: token('--ink-soft'),
    line: token('--line'),
    glass: token('--glass'),
    glassDeep: token('--glass-deep'),
    lap: token('--lap'),
    trail: token('--trail'),
    warm: token('--warm'),
  };
}

export function sizeCanvas(canvas: HTMLCanvasElement): {
  widthPx: number;
  heightPx: number;
  ratio: number;
  changed: boolean;
} {
  const ratio = Math.min(2, devicePixelRatio || 1);
  const widthPx = canvas.clientWidth;
  const heightPx = canvas.clientHeight;
  const width = Math.round(widthPx * ratio);
  const height = Math.round(heightPx * ratio);
  const changed = canvas.width !== width || canvas.height !== height;
  if (changed) {
    canvas.width = width;
    canvas.height = height;
  }
  return { widthPx, heightPx, ratio, changed };
}

export function readBrush(ratio: number): Brush {
  const style = getComputedStyle(document.documentElement);
  const paper = style.getPropertyValue('--paper').trim();
  const sheet = style.getPropertyValue('--sheet').trim();
  return { ink: { ...readInk(), paper, sheet }, font: getComputedStyle(document.body).fontFamily, ratio };
}
