/** Where places of the block lie in the set-out grid and on the globe, and ticks along the sheet's frame. */

import type { Grid } from '../state/preview.svelte';

type Fit = Grid['fit'];
export type Place = [number, number];
export type Side = 'top' | 'bottom' | 'left' | 'right';
export interface Tick {
  side: Side;
  /** Coordinate of the grid, 0 the first and 1 the second. */
  axis: 0 | 1;
  value: number;
  x: number;
  y: number;
}

const EDGE_POINTS = 17;
const SIDES: Record<Side, readonly [Place, Place]> = { top: [[0, 0], [1, 0]], bottom: [[0, 1], [1, 1]], left: [[0, 0], [0, 1]], right: [[1, 0], [1, 1]] };

/** Value of a polynomial of the third degree at a place, in metres of the block. */
export function valueAt(factors: readonly number[], [x_m, y_m]: Place, unit_m: number): number {
  const [x, y] = [x_m / unit_m, y_m / unit_m];
  const terms = [1, x, y, x * x, x * y, y * y, x * x * x, x * x * y, x * y * y, y * y * y];
  return terms.reduce((sum, term, at) => sum + term * (factors[at] ?? 0), 0);
}

export const inGrid = (fit: Fit, place: Place): Place => [valueAt(fit.first, place, fit.unit_m), valueAt(fit.second, place, fit.unit_m)];
export const onGlobe = (fit: Fit, place: Place): Place => [valueAt(fit.longitude, place, fit.unit_m), valueAt(fit.latitude, place, fit.unit_m)];

/** Smallest of 1, 2, 5, 10 and so on that is at least this. */
export function roundAbove(least: number): number {
  const power = 10 ** Math.floor(Math.log10(least));
  return [1, 2, 5, 10].map((step) => step * power).find((step) => step >= least * (1 - 1e-9)) ?? 10 * power;
}

/** Grid lines at the sides of a window; each side carries the coordinate that changes most along it.
 *
 * `toGrid` turns a pixel of the window into coordinates of the grid. */
export function ticksOf(toGrid: (pixel: Place) => Place, width: number, height: number, step: number): Tick[] {
  return (Object.keys(SIDES) as Side[]).flatMap((side) => {
    const [start, end] = SIDES[side];
    const pixels = Array.from({ length: EDGE_POINTS }, (_, at): Place => {
      const part = at / (EDGE_POINTS - 1);
      return [(start[0] + part * (end[0] - start[0])) * width, (start[1] + part * (end[1] - start[1])) * height];
    });
    const told = pixels.map(toGrid);
    const change = (axis: 0 | 1): number => Math.abs((told.at(-1)?.[axis] ?? 0) - (told[0]?.[axis] ?? 0));
    const axis = change(0) >= change(1) ? 0 : 1;
    return along(pixels, told.map((place) => place[axis]), step).map((found) => ({ side, axis, ...found }));
  });
}

function along(pixels: Place[], values: number[], step: number): { value: number; x: number; y: number }[] {
  const found = [];
  for (let at = 0; at + 1 < values.length; at += 1) {
    const [here, next] = [values[at] ?? 0, values[at + 1] ?? 0];
    const [low, high] = [Math.min(here, next), Math.max(here, next)];
    for (let number = Math.ceil(low / step); number * step < high; number += 1) {
      const part = (number * step - here) / (next - here);
      const from: Place = pixels[at] ?? [0, 0];
      const to: Place = pixels[at + 1] ?? [0, 0];
      found.push({ value: number * step, x: from[0] + part * (to[0] - from[0]), y: from[1] + part * (to[1] - from[1]) });
    }
  }
  return found;
}

/** Where grid lines cross inside the window: lines are straight there from side to side. */
export function crossesOf(ticks: readonly Tick[]): Place[] {
  const lines = (axis: 0 | 1): [Tick, Tick][] => {
    const byValue = new Map<number, Tick[]>();
    for (const tick of ticks) if (tick.axis === axis) byValue.set(tick.value, [...(byValue.get(tick.value) ?? []), tick]);
    return [...byValue.values()].flatMap((own): [Tick, Tick][] => (own[0] !== undefined && own[1] !== undefined ? [[own[0], own[1]]] : []));
  };
  const [one, other] = [lines(0), lines(1)];
  return one.flatMap((first) => other.flatMap((second) => meeting(first, second)));
}

function meeting([a, b]: readonly [Tick, Tick], [c, d]: readonly [Tick, Tick]): Place[] {
  const [ux, uy, vx, vy] = [b.x - a.x, b.y - a.y, d.x - c.x, d.y - c.y];
  const across = ux * vy - uy * vx;
  if (Math.abs(across) < 1e-9) return [];
  const part = ((c.x - a.x) * vy - (c.y - a.y) * vx) / across;
  return [[a.x + part * ux, a.y + part * uy]];
}
