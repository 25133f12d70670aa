/** Wires run along the rows; seen from above they lie one over the other, so their heights stand in the legend. */

import type { Ink } from '../ink';
import { acrossOf, downOf, traceLines, type Arrays, type Window } from './canvas';

export interface Wire {
  name: string;
  height_m: number;
  diameter_mm: number;
  strands: number;
  movable: boolean;
  offset_m: number;
}

const WIDTH_PX = 1.6;

/** Wires from end post to end post, and down to the anchors. */
export function paintWires(context: CanvasRenderingContext2D, window: Window, arrays: Arrays, ink: Ink): void {
  context.beginPath();
  traceLines(context, window, arrays, 'rows');
  traceStays(context, window, arrays);
  strokeWires(context, ink, window.ratio);
}

export function strokeWires(context: CanvasRenderingContext2D, ink: Ink, ratio: number): void {
  context.strokeStyle = ink.ink;
  context.lineWidth = WIDTH_PX * ratio;
  context.stroke();
}

/** Every anchor holds the nearest end post of its row. */
function traceStays(context: CanvasRenderingContext2D, window: Window, arrays: Arrays): void {
  const [posts, anchors, rows, own] = [arrays['end_posts_xy'], arrays['anchors_xy'], arrays['end_posts_row'], arrays['anchors_row']];
  if (posts === undefined || anchors === undefined) return;
  const ofRow = new Map<number, number[]>();
  rows?.forEach((row: number, post: number) => ofRow.set(row, [...(ofRow.get(row) ?? []), post]));
  for (let anchor = 0; anchor < anchors.length / 2; anchor += 1) {
    const [x, y] = [anchors[2 * anchor] ?? 0, anchors[2 * anchor + 1] ?? 0];
    const away = (post: number): number => Math.hypot((posts[2 * post] ?? 0) - x, (posts[2 * post + 1] ?? 0) - y);
    const near = (ofRow.get(own?.[anchor] ?? 0) ?? []).reduce<number | null>((best, post) => (best === null || away(post) < away(best) ? post : best), null);
    if (near === null) continue;
    context.moveTo(acrossOf(window, x), downOf(window, y));
    context.lineTo(acrossOf(window, posts[2 * near] ?? 0), downOf(window, posts[2 * near + 1] ?? 0));
  }
}
