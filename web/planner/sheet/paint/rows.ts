/** Rows, vines, posts and anchors, straight from typed arrays. */

import type { Ink } from '../ink';
import { eachPlace, traceLines, type Arrays, type Window } from './canvas';

/** Vines nearer than this on the screen run together: their rows are drawn instead. */
const LEAST_VINE_PX = 2.5;
const LONGEST_STROKE_PX = 7;
const STROKE_SHARE = 0.35;
const STROKE_PX = 1.2;
const POST_PX = 1.8;
const LARGEST_POST_PX = 4;
const POST_M = 0.12;
const ANCHOR_PX = 3;

type Shape = (context: CanvasRenderingContext2D, x: number, y: number, size: number) => void;

/** Whether single vines can be told apart. */
export const hasVines = (window: Window, vineSpacing: number): boolean => vineSpacing / window.resolution >= LEAST_VINE_PX * window.ratio;

export function paintRows(context: CanvasRenderingContext2D, window: Window, arrays: Arrays, ink: Ink, isFaint: boolean): void {
  context.beginPath();
  traceLines(context, window, arrays, 'rows');
  context.strokeStyle = isFaint ? ink.soft : ink.ink;
  context.globalAlpha = isFaint ? 0.45 : 0.75;
  context.lineWidth = window.ratio;
  context.stroke();
  context.globalAlpha = 1;
}

export function paintVines(context: CanvasRenderingContext2D, window: Window, arrays: Arrays, ink: Ink, vineSpacing: number): void {
  const size = Math.min(LONGEST_STROKE_PX * window.ratio, (vineSpacing / window.resolution) * STROKE_SHARE);
  const half = (STROKE_PX / 2) * window.ratio;
  context.fillStyle = ink.ink;
  eachPlace(window, arrays['vines_xy'], size, (x, y) => context.fillRect(x - half, y - size, 2 * half, 2 * size));
}

export function paintPosts(context: CanvasRenderingContext2D, window: Window, arrays: Arrays, ink: Ink, isNear: boolean): void {
  const size = Math.max(POST_PX * window.ratio, Math.min(LARGEST_POST_PX * window.ratio, POST_M / window.resolution));
  squares(context, window, arrays['end_posts_xy'], size, ink.ink);
  if (isNear) squares(context, window, arrays['line_posts_xy'], 0.7 * size, ink.soft);
}

export function paintAnchors(context: CanvasRenderingContext2D, window: Window, arrays: Arrays, ink: Ink): void {
  context.beginPath();
  eachPlace(window, arrays['anchors_xy'], ANCHOR_PX * window.ratio, (x, y) => cross(context, x, y, ANCHOR_PX * window.ratio));
  context.strokeStyle = ink.soft;
  context.lineWidth = 1.2 * window.ratio;
  context.stroke();
}

export const stroke: Shape = (context, x, y, size) => {
  context.moveTo(x, y - size);
  context.lineTo(x, y + size);
};
export const square: Shape = (context, x, y, size) => context.rect(x - size, y - size, 2 * size, 2 * size);
export const cross: Shape = (context, x, y, size) => {
  context.moveTo(x - size, y - size);
  context.lineTo(x + size, y + size);
  context.moveTo(x - size, y + size);
  context.lineTo(x + size, y - size);
};

/** Many small areas are filled many times faster than one path of as many parts. */
function squares(context: CanvasRenderingContext2D, window: Window, xy: Arrays[string] | undefined, size: number, colour: string): void {
  context.fillStyle = colour;
  eachPlace(window, xy, size, (x, y) => context.fillRect(x - size, y - size, 2 * size, 2 * size));
}

/** The vine nearest to a place, or null when none lies within the reach, in metres. */
export function nearestVine(arrays: Arrays, x: number, y: number, reach: number): { row: number; number: number; x: number; y: number } | null {
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
export function extentOf(arrays: Arrays): [number, number, number, number] | null {
  const extent: [number, number, number, number] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const name of ['boundary_xy', 'anchors_xy', 'vines_xy']) {
    const xy = arrays[name];
    if (xy === undefined) continue;
    for (let at = 0; at < xy.length; at += 2) {
      const [x, y] = [xy[at] ?? 0, xy[at + 1] ?? 0];
      extent[0] = Math.min(extent[0], x);
      extent[1] = Math.min(extent[1], y);
      extent[2] = Math.max(extent[2], x);
      extent[3] = Math.max(extent[3], y);
    }
  }
  return Number.isFinite(extent[0]) ? extent : null;
}
