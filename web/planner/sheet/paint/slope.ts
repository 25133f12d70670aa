/** How steep the ground is by classes, its contours, and the places to know of. */

import type { Ink } from '../ink';
import { acrossOf, downOf, traceLine, traceLines, write, type Arrays, type Window } from './canvas';
import { fillTone, type Tone } from './hatch';

export interface SlopeTold {
  grid: { west_m: number; south_m: number; cell_x_m: number; cell_y_m: number; columns: number } | null;
  classes?: { to_percent: number | null; label: string; share: number }[];
  places?: { kind: PlaceKind; x_m: number; y_m: number; value: number }[];
  contour_step_m?: number | null;
  aspect_deg?: number | null;
}
export type PlaceKind = 'steepest' | 'low' | 'gathering';

/** Each cell of the grid is parted so often to either side, so that edges of classes run smooth. */
const PARTS = 4;
const MAIN_EVERY = 5;
const LABEL_PX = 11;

/** Gentlest first: darker and closer hatched; hatching runs straight down the mean slope. */
export function tonesOfSlope(aspect: number | null | undefined, ink: Ink): Tone[] {
  const down = 90 - (aspect ?? 45);
  const tints = ink.isDark ? [ink.sheet, '#2b2c25', '#3a382d', '#4d4735'] : [ink.sheet, '#f2ecdf', '#e4dac4', '#cfc2a6'];
  return [{ tint: tints[0] }, { tint: tints[1] }, { tint: tints[2], apart: 8, angles: [down] }, { tint: tints[3], apart: 6, angles: [down, down + 90] }] as Tone[];
}

/** Class of a slope; the last one has no upper limit. */
export const classOf = (percent: number, limits: readonly (number | null)[]): number => {
  if (Number.isNaN(percent)) return -1;
  const found = limits.findIndex((limit) => limit !== null && percent < limit);
  return found < 0 ? limits.length - 1 : found;
};

/** Value at a place between four nodes of a grid, in steps from its first node; nan beyond it. */
export function between(values: ArrayLike<number>, columns: number, rows: number, across: number, up: number): number {
  const [column, row] = [Math.min(Math.floor(across), columns - 2), Math.min(Math.floor(up), rows - 2)];
  if (column < 0 || row < 0 || across > columns - 1 || up > rows - 1) return NaN;
  const at = row * columns + column;
  const [right, high] = [across - column, up - row];
  const low = (values[at] ?? NaN) * (1 - right) + (values[at + 1] ?? NaN) * right;
  const top = (values[at + columns] ?? NaN) * (1 - right) + (values[at + columns + 1] ?? NaN) * right;
  return low * (1 - high) + top * high;
}

export function paintSlope(context: CanvasRenderingContext2D, window: Window, arrays: Arrays, told: SlopeTold, ink: Ink): void {
  const percent = arrays['slope_percent'];
  if (told.grid === null || percent === undefined || told.grid.columns < 2) return;
  const { west_m, south_m, cell_x_m, cell_y_m, columns } = told.grid;
  const rows = percent.length / columns;
  const limits = (told.classes ?? []).map(({ to_percent }) => to_percent);
  const paths = limits.map(() => new Path2D());
  const edge = (side: number): number => Math.round(side);
  for (let up = 0; up < (rows - 1) * PARTS; up += 1) {
    const top = edge(downOf(window, south_m + ((up + 1) / PARTS) * cell_y_m));
    const bottom = edge(downOf(window, south_m + (up / PARTS) * cell_y_m));
    if (bottom < 0 || top > window.height) continue;
    let [start, held] = [0, -1];
    for (let right = 0; right <= (columns - 1) * PARTS; right += 1) {
      const isEnd = right === (columns - 1) * PARTS;
      const own = isEnd ? -1 : classOf(between(percent, columns, rows, (right + 0.5) / PARTS, (up + 0.5) / PARTS), limits);
      if (own === held) continue;
      const from = edge(acrossOf(window, west_m + (start / PARTS) * cell_x_m));
      const to = edge(acrossOf(window, west_m + (right / PARTS) * cell_x_m));
      if (held >= 0) paths[held]?.rect(from, top, to - from, bottom - top);
      [start, held] = [right, own];
    }
  }
  context.save();
  context.beginPath();
  traceLines(context, window, arrays, 'boundary', { isRing: true });
  context.clip('evenodd');
  tonesOfSlope(told.aspect_deg, ink).forEach((tone, number) => {
    const path = paths[number];
    if (path !== undefined) fillTone(context, tone, ink.soft, window.ratio, path);
  });
  context.restore();
}

export function paintContours(context: CanvasRenderingContext2D, window: Window, arrays: Arrays, told: SlopeTold, ink: Ink, say: (height: number) => string): void {
  const [xy, first, heights] = [arrays['contours_xy'], arrays['contours_first'], arrays['contours_height_m']];
  const step = told.contour_step_m ?? 0;
  if (xy === undefined || first === undefined || heights === undefined || step === 0) return;
  const { ratio } = window;
  for (const isMain of [false, true]) {
    context.beginPath();
    heights.forEach((height: number, line: number) => {
      if ((Math.round(height / step) % MAIN_EVERY === 0) === isMain) traceLine(context, window, xy, first[line] ?? 0, first[line + 1] ?? 0);
    });
    context.strokeStyle = ink.ink;
    context.lineWidth = (isMain ? 1.6 : 0.8) * ratio;
    context.stroke();
  }
  heights.forEach((height: number, line: number) => {
    const [from, to] = [first[line] ?? 0, first[line + 1] ?? 0];
    if (to - from < 8) return;
    const at = Math.floor((from + to) / 2);
    write(context, say(height), acrossOf(window, xy[2 * at] ?? 0), downOf(window, xy[2 * at + 1] ?? 0), LABEL_PX * ratio, ink.ink, ink.sheet, '400');
  });
}

export function paintSlopePlaces(context: CanvasRenderingContext2D, window: Window, told: SlopeTold, ink: Ink, say: (kind: PlaceKind, value: number) => string): void {
  for (const { kind, x_m, y_m, value } of told.places ?? []) {
    const [x, y] = [acrossOf(window, x_m), downOf(window, y_m)];
    markSlopePlace(context, kind, x, y, ink, window.ratio);
    write(context, say(kind, value), x, y + 16 * window.ratio, LABEL_PX * window.ratio, kind === 'steepest' ? ink.care : ink.water, ink.sheet);
  }
}

/** A peak where it is steepest, a bowl where water has no way out, three runs that meet where most gathers. */
export function markSlopePlace(context: CanvasRenderingContext2D, kind: PlaceKind, x: number, y: number, ink: Ink, ratio: number): void {
  const reach = 7 * ratio;
  context.beginPath();
  if (kind === 'steepest') {
    context.moveTo(x - reach, y + 0.7 * reach);
    context.lineTo(x, y - 0.8 * reach);
    context.lineTo(x + reach, y + 0.7 * reach);
    context.closePath();
  } else if (kind === 'low') {
    context.arc(x, y - 0.4 * reach, reach, 0, Math.PI);
    context.closePath();
  } else {
    for (const side of [-1, 0, 1]) {
      context.moveTo(x + side * reach, y - reach);
      context.lineTo(x, y + 0.3 * reach);
    }
    context.lineTo(x, y + reach);
  }
  if (kind !== 'gathering') {
    context.fillStyle = ink.sheet;
    context.fill();
  } else {
    context.strokeStyle = ink.sheet;
    context.lineWidth = 5 * ratio;
    context.stroke();
  }
  context.strokeStyle = kind === 'steepest' ? ink.care : ink.water;
  context.lineWidth = 1.8 * ratio;
  context.stroke();
}
