/** The pressure at every dripper: broader and darker where there is less, the ends of every set marked. */

import type { Ink } from '../ink';
import { acrossOf, downOf, traceLine, write, type Arrays, type Window } from './canvas';

export interface PressuresTold {
  steps_kpa?: number[];
}
export interface Stretches {
  /** Step of each stretch; -1 is without water. */
  step: number[];
  xy: Float32Array;
  first: number[];
}
export interface Worst {
  set: number;
  least: number;
  most: number;
}

/** From the lowest pressure to the highest, for light paper; in the dark the lowest is brightest. */
const SHADES = ['#143a4e', '#23597a', '#3f7f9d', '#7aa6bb', '#a9c5d2', '#c9dae2'];
const DARK_SHADES = ['#dff2fb', '#b5dbed', '#86c5e3', '#5795b3', '#3d6f87', '#2f5465'];
const WIDTHS = [0.9, 0.72, 0.56, 0.42, 0.3, 0.2];
const DRY_DASH = [3, 2];
const WIDEST_PX = 9;
/** Corners so near to a straight line are left out. */
const STRAIGHT_M = 0.02;

/** Step of a pressure among rising bounds; the last bound closes the last step. */
export function stepOf(pressure: number, bounds: readonly number[]): number {
  let step = 0;
  while (step < bounds.length - 2 && pressure >= (bounds[step + 1] ?? Infinity)) step += 1;
  return step;
}

/** Stretches of dripper line in one step of pressure; corners on a straight line are left out. */
export function stretchesOf(arrays: Arrays, bounds: readonly number[]): Stretches {
  const [xy, kpa, first, starved] = [arrays['drippers_xy'], arrays['drippers_kpa'], arrays['laterals_first'], arrays['drippers_starved']];
  const corners: number[] = [];
  const found: Stretches = { step: [], xy: new Float32Array(), first: [0] };
  if (xy === undefined || kpa === undefined || first === undefined) return found;
  const add = (step: number, from: number, to: number): void => {
    const start = corners.length / 2;
    for (let at = from; at <= to; at += 1) {
      const [x, y] = [xy[2 * at] ?? 0, xy[2 * at + 1] ?? 0];
      const last = corners.length / 2;
      if (last - start >= 2 && isStraight(corners, last, x, y)) corners.length -= 2;
      corners.push(x, y);
    }
    found.step.push(step);
    found.first.push(corners.length / 2);
  };
  for (let lateral = 0; lateral + 1 < first.length; lateral += 1) {
    const end = (first[lateral + 1] ?? 0) - 1;
    const own = (at: number): number => (starved?.[at] ? -1 : stepOf(kpa[at] ?? 0, bounds));
    let from = first[lateral] ?? 0;
    for (let at = from + 1; at <= end; at += 1)
      if (own(at) !== own(at - 1)) {
        add(own(at - 1), from, at);
        from = at;
      }
    if (end >= from) add(own(end), from, end);
  }
  return { ...found, xy: Float32Array.from(corners) };
}

function isStraight(corners: number[], count: number, x: number, y: number): boolean {
  const [ax, ay] = [corners[2 * count - 4] ?? 0, corners[2 * count - 3] ?? 0];
  const [bx, by] = [corners[2 * count - 2] ?? 0, corners[2 * count - 1] ?? 0];
  const length = Math.hypot(x - ax, y - ay);
  return length > 0 && Math.abs((x - ax) * (by - ay) - (y - ay) * (bx - ax)) / length < STRAIGHT_M;
}

/** The weakest and the strongest dripper of every set. */
export function worstOf(arrays: Arrays): Worst[] {
  const [kpa, sets] = [arrays['drippers_kpa'], arrays['drippers_set']];
  const found = new Map<number, Worst>();
  for (let at = 0; at < (kpa?.length ?? 0); at += 1) {
    const set = sets?.[at] ?? 0;
    const own = found.get(set);
    if (own === undefined) found.set(set, { set, least: at, most: at });
    else {
      if ((kpa?.[at] ?? 0) < (kpa?.[own.least] ?? 0)) own.least = at;
      if ((kpa?.[at] ?? 0) > (kpa?.[own.most] ?? 0)) own.most = at;
    }
  }
  return [...found.values()];
}

/** Row that a dripper stands in. */
export function rowOf(arrays: Arrays, dripper: number): number {
  const first = arrays['laterals_first'];
  let lateral = 0;
  while (lateral + 2 < (first?.length ?? 0) && (first?.[lateral + 1] ?? Infinity) <= dripper) lateral += 1;
  return arrays['laterals_row']?.[lateral] ?? 0;
}

export function lookOfStep(step: number, rowPx: number, ink: Ink): { colour: string; width: number; dash: number[] } {
  const row = Math.min(rowPx, WIDEST_PX);
  if (step < 0) return { colour: ink.stop, width: Math.max(0.5 * row, 1), dash: DRY_DASH };
  const shades = ink.isDark ? DARK_SHADES : SHADES;
  return { colour: shades[step] ?? ink.water, width: Math.max((WIDTHS[step] ?? 0.2) * row, 0.5), dash: [] };
}

export function paintPressures(context: CanvasRenderingContext2D, window: Window, stretches: Stretches, rowWidth: number, ink: Ink): void {
  const steps = [...new Set(stretches.step)].sort((one, other) => one - other);
  for (const step of steps) {
    context.beginPath();
    stretches.step.forEach((own, at) => {
      if (own === step) traceLine(context, window, stretches.xy, stretches.first[at] ?? 0, stretches.first[at + 1] ?? 0);
    });
    const look = lookOfStep(step, rowWidth / window.resolution / window.ratio, ink);
    context.strokeStyle = look.colour;
    context.lineWidth = look.width * window.ratio;
    context.setLineDash(look.dash.map((part) => part * window.ratio));
    context.stroke();
  }
  context.setLineDash([]);
}

export function paintWorst(context: CanvasRenderingContext2D, window: Window, arrays: Arrays, ink: Ink, say: (row: number, kpa: number) => string): void {
  const [xy, kpa] = [arrays['drippers_xy'], arrays['drippers_kpa']];
  if (xy === undefined || kpa === undefined) return;
  const { ratio } = window;
  for (const { least, most } of worstOf(arrays))
    for (const [at, name] of [[least, 'least'], [most, 'most']] as const) {
      const [x, y] = [acrossOf(window, xy[2 * at] ?? 0), downOf(window, xy[2 * at + 1] ?? 0)];
      markWorst(context, name, x, y, ink, ratio);
      write(context, say(rowOf(arrays, at), kpa[at] ?? 0), x, y + 17 * ratio, 11 * ratio, ink.ink, ink.sheet);
    }
}

/** A ring with a minus where pressure is least, a diamond with a plus where it is most. */
export function markWorst(context: CanvasRenderingContext2D, name: 'least' | 'most', x: number, y: number, ink: Ink, ratio: number): void {
  const reach = 7 * ratio;
  context.beginPath();
  if (name === 'least') context.arc(x, y, 0.8 * reach, 0, 2 * Math.PI);
  else {
    context.moveTo(x, y - reach);
    context.lineTo(x + reach, y);
    context.lineTo(x, y + reach);
    context.lineTo(x - reach, y);
    context.closePath();
  }
  context.strokeStyle = ink.sheet;
  context.lineWidth = 5 * ratio;
  context.stroke();
  context.fillStyle = ink.sheet;
  context.fill();
  context.moveTo(x - 0.42 * reach, y);
  context.lineTo(x + 0.42 * reach, y);
  if (name === 'most') {
    context.moveTo(x, y - 0.42 * reach);
    context.lineTo(x, y + 0.42 * reach);
  }
  context.strokeStyle = name === 'least' ? ink.ink : ink.water;
  context.lineWidth = 1.8 * ratio;
  context.stroke();
}
