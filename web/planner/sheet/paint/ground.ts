/** The outline of the block, the ground where rows may run, and what stands in the way. */

import type { Colour, Ink } from '../ink';
import { acrossOf, downOf, traceLines, write, type Arrays, type Window } from './canvas';
import { fillTone, type Tone } from './hatch';

export interface Exclusion {
  name: string;
  kind: string;
  treatment: string;
}
interface Look {
  colour: Colour;
  angles: readonly number[];
  apart: number;
}

/** As on paper: kinds of things differ by the way and the width of their hatching. */
const LOOKS: Record<string, Look> = {
  dam: { colour: 'water', angles: [0], apart: 5 },
  watercourse: { colour: 'water', angles: [0], apart: 5 },
  rock: { colour: 'ink', angles: [45, 135], apart: 7 },
  tree: { colour: 'soft', angles: [60, 120], apart: 9 },
  building: { colour: 'ink', angles: [45], apart: 4 },
  road: { colour: 'soft', angles: [90], apart: 6 },
  'power line': { colour: 'care', angles: [135], apart: 8 },
  drain: { colour: 'water', angles: [45], apart: 7 },
  pipe: { colour: 'water', angles: [135], apart: 7 },
  cable: { colour: 'care', angles: [45], apart: 7 },
  fence: { colour: 'ink', angles: [45], apart: 7 },
};
const OTHER: Look = { colour: 'soft', angles: [135], apart: 7 };
const LINE_PX = 1.3;
const NAME_PX = 12;
const POINT_PX = 4;
const SKIP_DASH = [6, 3];
const BOUNDARY_DASH = [14, 4, 3, 4];

export const lookOf = (kind: string): Look => LOOKS[kind] ?? OTHER;

export function toneOf(look: Look, ink: Ink): Tone {
  return { tint: look.colour === 'water' ? `${ink.water}22` : ink.sheet, angles: look.angles, apart: look.apart };
}

export function paintGround(context: CanvasRenderingContext2D, window: Window, arrays: Arrays, ink: Ink): void {
  context.beginPath();
  traceLines(context, window, arrays, 'boundary', { isRing: true });
  context.fillStyle = ink.ground;
  context.fill('evenodd');
}

export function paintPlantable(context: CanvasRenderingContext2D, window: Window, arrays: Arrays, ink: Ink): void {
  context.beginPath();
  traceLines(context, window, arrays, 'plantable', { isRing: true });
  context.fillStyle = ink.sheet;
  context.fill('evenodd');
  context.strokeStyle = ink.soft;
  context.lineWidth = window.ratio;
  context.setLineDash([3 * window.ratio, 3 * window.ratio]);
  context.stroke();
  context.setLineDash([]);
}

export function paintBoundary(context: CanvasRenderingContext2D, window: Window, arrays: Arrays, ink: Ink): void {
  const { ratio } = window;
  context.beginPath();
  traceLines(context, window, arrays, 'boundary', { isRing: true });
  context.strokeStyle = ink.ink;
  context.lineWidth = 1.6 * ratio;
  context.setLineDash(BOUNDARY_DASH.map((part) => part * ratio));
  context.stroke();
  context.setLineDash([]);
}

/** Rows stop at some things and run on over others: only the former are hatched. */
export function paintExclusions(context: CanvasRenderingContext2D, window: Window, arrays: Arrays, told: Exclusion[], ink: Ink): void {
  const owner = arrays['exclusions_shape'];
  told.forEach((item, number) => {
    const look = lookOf(item.kind);
    const isWanted = (line: number): boolean => owner?.[line] === number;
    const first = arrays['exclusions_first'];
    const xy = arrays['exclusions_xy'];
    const line = owner?.indexOf(number) ?? -1;
    if (first === undefined || xy === undefined || line < 0) return;
    const [from, to] = [first[line] ?? 0, first[line + 1] ?? 0];
    const isArea = to - from > 3 && xy[2 * from] === xy[2 * to - 2] && xy[2 * from + 1] === xy[2 * to - 1];
    context.beginPath();
    if (to - from === 1) context.arc(acrossOf(window, xy[2 * from] ?? 0), downOf(window, xy[2 * from + 1] ?? 0), POINT_PX * window.ratio, 0, 2 * Math.PI);
    else traceLines(context, window, arrays, 'exclusions', { isRing: isArea, isWanted });
    paintThing(context, look, item.treatment, isArea, ink, window.ratio);
  });
}

/** Names lie over the rows. */
export function nameExclusions(context: CanvasRenderingContext2D, window: Window, arrays: Arrays, told: Exclusion[], ink: Ink): void {
  const [owner, first, xy] = [arrays['exclusions_shape'], arrays['exclusions_first'], arrays['exclusions_xy']];
  told.forEach((item, number) => {
    const line = owner?.indexOf(number) ?? -1;
    if (first === undefined || xy === undefined || line < 0 || item.name === '') return;
    const [x, y] = middle(xy, first[line] ?? 0, first[line + 1] ?? 0);
    write(context, item.name, acrossOf(window, x), downOf(window, y), NAME_PX * window.ratio, ink[lookOf(item.kind).colour], ink.sheet, '400');
  });
}

/** Paint the path as a thing of one kind. */
export function paintThing(context: CanvasRenderingContext2D, look: Look, treatment: string, isArea: boolean, ink: Ink, ratio: number): void {
  if (isArea && treatment === 'avoid') fillTone(context, toneOf(look, ink), ink[look.colour], ratio);
  context.strokeStyle = ink[look.colour];
  context.lineWidth = LINE_PX * ratio;
  context.setLineDash(treatment === 'avoid' && isArea ? [] : SKIP_DASH.map((part) => part * ratio));
  context.stroke();
  context.setLineDash([]);
}

function middle(xy: ArrayLike<number>, from: number, to: number): [number, number] {
  let [x, y] = [0, 0];
  const count = Math.max(to - from - 1, 1);
  for (let at = from; at < from + count; at += 1) {
    x += xy[2 * at] ?? 0;
    y += xy[2 * at + 1] ?? 0;
  }
  return [x / count, y / count];
}
