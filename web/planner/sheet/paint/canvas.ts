/** What all painters share: where a place of the block lies on the canvas, and how lines are traced. */

import type { TypedArray } from '../../api/arrays';

export type Arrays = Record<string, TypedArray>;

export interface Window {
  /** Left, bottom, right, top in metres of the block. */
  extent: [number, number, number, number];
  /** Metres for one pixel of the canvas. */
  resolution: number;
  width: number;
  height: number;
  /** Pixels of the canvas for one of the page. */
  ratio: number;
}

export const acrossOf = ({ extent, resolution }: Window, x: number): number => (x - extent[0]) / resolution;
export const downOf = ({ extent, resolution }: Window, y: number): number => (extent[3] - y) / resolution;

/** Add one line of a set of lines to the path; a ring is closed. */
export function traceLine(context: CanvasRenderingContext2D, window: Window, xy: ArrayLike<number>, from: number, to: number, isRing = false): void {
  for (let at = from; at < to; at += 1) {
    const x = acrossOf(window, xy[2 * at] ?? 0);
    const y = downOf(window, xy[2 * at + 1] ?? 0);
    if (at === from) context.moveTo(x, y);
    else context.lineTo(x, y);
  }
  if (isRing) context.closePath();
}

/** Add lines to the path: all of them, or those that are wanted. */
export function traceLines(
  context: CanvasRenderingContext2D,
  window: Window,
  arrays: Arrays,
  name: string,
  { isRing = false, isWanted }: { isRing?: boolean; isWanted?: (line: number) => boolean } = {},
): void {
  const xy = arrays[`${name}_xy`];
  const first = arrays[`${name}_first`];
  if (xy === undefined || first === undefined) return;
  for (let line = 0; line + 1 < first.length; line += 1)
    if (isWanted === undefined || isWanted(line)) traceLine(context, window, xy, first[line] ?? 0, first[line + 1] ?? 0, isRing);
}

/** Call for every place that lies in the window, or as near to it as the margin, in pixels. */
export function eachPlace(window: Window, xy: TypedArray | undefined, margin: number, told: (x: number, y: number, at: number) => void): void {
  for (let at = 0; at < (xy?.length ?? 0) / 2; at += 1) {
    const x = acrossOf(window, xy?.[2 * at] ?? 0);
    const y = downOf(window, xy?.[2 * at + 1] ?? 0);
    if (x >= -margin && y >= -margin && x <= window.width + margin && y <= window.height + margin) told(x, y, at);
  }
}

/** Write words in the middle of a place, with a halo of the sheet's colour. */
export function write(context: CanvasRenderingContext2D, text: string, x: number, y: number, size: number, colour: string, halo: string, face = '700'): void {
  context.font = `${face} ${size}px 'Atkinson Hyperlegible', sans-serif`;
  context.textAlign = 'center';
  context.textBaseline = 'middle';
  context.lineJoin = 'round';
  context.lineWidth = size / 4;
  context.strokeStyle = halo;
  context.strokeText(text, x, y);
  context.fillStyle = colour;
  context.fillText(text, x, y);
}
