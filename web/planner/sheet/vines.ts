/** The block's rows, vines and posts, drawn from typed arrays straight onto a canvas. */

import type { TypedArray } from '../api/arrays';
import type { Ink } from './ink';

export type Shown = Record<'vines' | 'rows' | 'posts' | 'anchors', boolean>;

/** Vines nearer than this on the screen run together: their rows are drawn instead. */
const LEAST_VINE_PX = 2.5;
const POST_PX = 1.8;

export interface Window {
  /** Left, bottom, right, top in metres of the block. */
  extent: [number, number, number, number];
  /** Metres for one pixel of the canvas. */
  resolution: number;
  width: number;
  height: number;
}

/** Draw what lies in the window; the canvas has its origin at the top left. */
export function drawBlock(
  context: CanvasRenderingContext2D,
  arrays: Record<string, TypedArray>,
  window: Window,
  shown: Shown,
  ink: Ink,
  vineSpacing: number,
): void {
  const [left, , , top] = window.extent;
  const scale = 1 / window.resolution;
  const hasVines = shown.vines && vineSpacing * scale >= LEAST_VINE_PX;
  if (shown.rows) rows(context, arrays, left, top, scale, ink, hasVines);
  if (hasVines) strokes(context, arrays['vines_xy'], left, top, scale, window, ink.ink, Math.min(7, vineSpacing * scale * 0.35));
  if (shown.posts) {
    const size = Math.max(POST_PX, Math.min(4, 0.12 * scale));
    dots(context, arrays['end_posts_xy'], left, top, scale, window, ink.ink, size);
    if (hasVines) dots(context, arrays['line_posts_xy'], left, top, scale, window, ink.soft, size * 0.7);
  }
  if (shown.anchors && hasVines) crosses(context, arrays['anchors_xy'], left, top, scale, window, ink.soft, 3);
}

function rows(
  context: CanvasRenderingContext2D,
  arrays: Record<string, TypedArray>,
  left: number,
  top: number,
  scale: number,
  ink: Ink,
  isFaint: boolean,
): void {
  context.beginPath();
  const xy = arrays['rows_xy'];
  const first = arrays['rows_first'];
  if (xy === undefined || first === undefined) return;
  for (let row = 0; row + 1 < first.length; row += 1) {
    const to = first[row + 1] ?? 0;
    for (let at = first[row] ?? 0; at < to; at += 1) {
      const x = ((xy[2 * at] ?? 0) - left) * scale;
      const y = (top - (xy[2 * at + 1] ?? 0)) * scale;
      if (at === first[row]) context.moveTo(x, y);
      else context.lineTo(x, y);
    }
  }
  context.strokeStyle = isFaint ? ink.soft : ink.ink;
  context.globalAlpha = isFaint ? 0.45 : 0.75;
  context.lineWidth = 1;
  context.stroke();
  context.globalAlpha = 1;
}

type Mark = (context: CanvasRenderingContext2D, x: number, y: number, size: number) => void;

function marks(mark: Mark, isFilled: boolean) {
  return (
    context: CanvasRenderingContext2D,
    xy: TypedArray | undefined,
    left: number,
    top: number,
    scale: number,
    { width, height }: Window,
    colour: string,
    size: number,
  ): void => {
    if (xy === undefined) return;
    context.beginPath();
    for (let at = 0; at < xy.length; at += 2) {
      const x = ((xy[at] ?? 0) - left) * scale;
      const y = (top - (xy[at + 1] ?? 0)) * scale;
      if (x < -size || y < -size || x > width + size || y > height + size) continue;
      mark(context, x, y, size);
    }
    if (isFilled) {
      context.fillStyle = colour;
      context.fill();
    } else {
      context.strokeStyle = colour;
      context.lineWidth = 1.2;
      context.stroke();
    }
  };
}

const strokes = marks((context, x, y, size) => {
  context.moveTo(x, y - size);
  context.lineTo(x, y + size);
}, false);
const dots = marks((context, x, y, size) => context.rect(x - size, y - size, 2 * size, 2 * size), true);
const crosses = marks((context, x, y, size) => {
  context.moveTo(x - size, y - size);
  context.lineTo(x + size, y + size);
  context.moveTo(x - size, y + size);
  context.lineTo(x + size, y - size);
}, false);

/** The vine nearest to a place, or null when none lies within the reach, in metres. */
export function nearestVine(
  arrays: Record<string, TypedArray>,
  x: number,
  y: number,
  reach: number,
): { row: number; number: number; x: number; y: number } | null {
  const xy = arrays['vines_xy'];
  if (xy === undefined) return null;
  let best = -1;
  let least = reach * reach;
  for (let at = 0; at < xy.length; at += 2) {
    const away = ((xy[at] ?? 0) - x) ** 2 + ((xy[at + 1] ?? 0) - y) ** 2;
    if (away < least) {
      least = away;
      best = at / 2;
    }
  }
  if (best < 0) return null;
  return {
    row: arrays['vines_row']?.[best] ?? 0,
    number: arrays['vines_number']?.[best] ?? 0,
    x: xy[2 * best] ?? 0,
    y: xy[2 * best + 1] ?? 0,
  };
}

/** Left, bottom, right, top of what is drawn, in metres. */
export function extentOf(arrays: Record<string, TypedArray>): [number, number, number, number] | null {
  const extent: [number, number, number, number] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const name of ['boundary_xy', 'anchors_xy', 'vines_xy']) {
    const xy = arrays[name];
    if (xy === undefined) continue;
    for (let at = 0; at < xy.length; at += 2) {
      const x = xy[at] ?? 0;
      const y = xy[at + 1] ?? 0;
      extent[0] = Math.min(extent[0], x);
      extent[1] = Math.min(extent[1], y);
      extent[2] = Math.max(extent[2], x);
      extent[3] = Math.max(extent[3], y);
    }
  }
  return Number.isFinite(extent[0]) ? extent : null;
}
