/** Small labelled plots as SVG text: axes, lines, bands. Pure strings; numbers are rounded so that equal forecasts draw alike. */

export interface PlotArea {
  width: number;
  height: number;
  left: number;
  right: number;
  top: number;
  bottom: number;
  xFrom: number;
  xTo: number;
  yFrom: number;
  yTo: number;
}

export const INK = { text: '#1f2430', faint: '#8a90a0', line: '#274690', zone: '#d9e2f3', rim: '#a0522d' } as const;

export function plotArea(ranges: Pick<PlotArea, 'xFrom' | 'xTo' | 'yFrom' | 'yTo'>): PlotArea {
  return { width: 720, height: 320, left: 64, right: 16, top: 28, bottom: 44, ...ranges };
}

export function xAt(area: PlotArea, x: number): number {
  return area.left + ((x - area.xFrom) / (area.xTo - area.xFrom)) * (area.width - area.left - area.right);
}

export function yAt(area: PlotArea, y: number): number {
  return (
    area.height - area.bottom - ((y - area.yFrom) / (area.yTo - area.yFrom)) * (area.height - area.top - area.bottom)
  );
}

/** A step of 1, 2 or 5 times a power of ten that gives at most `most` ticks. */
export function tickStep(range: number, most: number): number {
  const rough = range / most;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].find((factor) => factor * power >= rough) ?? 10;
  return step * power;
}

export function ticks(from: number, to: number, most: number): number[] {
  const step = tickStep(to - from, most);
  const list: number[] = [];
  for (let i = Math.ceil(from / step - 1e-9); i * step <= to + 1e-9 * step; i++) list.push(i * step);
  return list;
}

export function axes(area: PlotArea, xLabel: string, yLabel: string): string {
  const bottom = area.height - area.bottom;
  const parts: string[] = [];
  const xs = ticks(area.xFrom, area.xTo, 10);
  const xStep = tickStep(area.xTo - area.xFrom, 10);
  for (const x of xs) {
    const at = short(xAt(area, x));
    parts.push(`<line x1="${at}" y1="${bottom}" x2="${at}" y2="${bottom + 5}" stroke="${INK.faint}"/>`);
    parts.push(text(xAt(area, x), bottom + 18, tickText(x, xStep), 'middle'));
  }
  const yStep = tickStep(area.yTo - area.yFrom, 6);
  for (const y of ticks(area.yFrom, area.yTo, 6)) {
    const at = short(yAt(area, y));
    parts.push(
      `<line x1="${area.left}" y1="${at}" x2="${area.width - area.right}" y2="${at}" stroke="${INK.faint}" stroke-width="0.4"/>`,
    );
    parts.push(text(area.left - 8, yAt(area, y) + 4, tickText(y, yStep), 'end'));
  }
  parts.push(text((area.left + area.width - area.right) / 2, area.height - 8, xLabel, 'middle'));
  parts.push(text(area.left, 16, yLabel, 'start'));
  return parts.join('\n');
}

export function line(area: PlotArea, xs: ArrayLike<number>, ys: ArrayLike<number>, colour: string): string {
  const points: string[] = [];
  for (let i = 0; i < xs.length; i++) points.push(`${short(xAt(area, xs[i]!))},${short(yAt(area, ys[i]!))}`);
  return `<polyline fill="none" stroke="${colour}" stroke-width="1.8" points="${points.join(' ')}"/>`;
}

export function upright(area: PlotArea, x: number, label: string, colour: string): string {
  const at = short(xAt(area, x));
  return (
    `<line x1="${at}" y1="${area.top}" x2="${at}" y2="${area.height - area.bottom}" stroke="${colour}" stroke-dasharray="4 3"/>` +
    text(xAt(area, x), area.top - 2, label, 'middle')
  );
}

export function svg(width: number, height: number, title: string, body: string): string {
  return (
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width} ${height}" width="${width}" height="${height}" role="img" ` +
    `font-family="sans-serif" font-size="12" fill="${INK.text}"><title>${escaped(title)}</title>\n${body}\n</svg>`
  );
}

export function text(x: number, y: number, words: string, anchor: 'start' | 'middle' | 'end'): string {
  return `<text x="${short(x)}" y="${short(y)}" text-anchor="${anchor}">${escaped(words)}</text>`;
}

export function short(value: number): string {
  return String(Number(value.toFixed(1)));
}

function tickText(value: number, step: number): string {
  return value.toFixed(Math.max(0, -Math.floor(Math.log10(step) + 1e-9)));
}

export function escaped(words: string): string {
  return words.replace(/&/g, '&amp;').replace(/</g, '&lt;').replace(/>/g, '&gt;').replace(/"/g, '&quot;');
}
