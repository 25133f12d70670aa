/** The sun on the rows: all of them take the same, so what is shown is which side takes what. */

import type { Ink } from '../ink';
import { acrossOf, downOf, write, type Arrays, type Window } from './canvas';

export interface LightTold {
  season_share: number | null;
  afternoon_mj_m2?: number;
  morning_mj_m2?: number;
  afternoon_side_deg?: number;
}

/** Rows nearer to each other on the screen have no room for their two sides. */
const LEAST_ROW_PX = 7;
const AWAY_PX = 96;
const SIDE_SHARE = 0.2;

/** Unit vector of a bearing on the canvas, across and down. */
const wayOf = (bearing: number): [number, number] => [Math.sin((bearing * Math.PI) / 180), -Math.cos((bearing * Math.PI) / 180)];

export function paintSides(context: CanvasRenderingContext2D, window: Window, arrays: Arrays, told: LightTold, rowWidth: number, ink: Ink): void {
  if (told.season_share === null || told.afternoon_side_deg === undefined) return;
  const { ratio } = window;
  const afternoon = wayOf(told.afternoon_side_deg);
  const rowPx = rowWidth / window.resolution;
  if (rowPx >= LEAST_ROW_PX * ratio)
    for (const isAfternoon of [true, false]) {
      context.beginPath();
      traceBeside(context, window, arrays, afternoon, (isAfternoon ? 1 : -1) * SIDE_SHARE * rowPx);
      strokeSide(context, isAfternoon, ink, ratio);
    }
}

/** The afternoon sun and the morning sun beside the middle of the block, with what they bring. */
export function paintSuns(context: CanvasRenderingContext2D, window: Window, arrays: Arrays, told: LightTold, ink: Ink, say: (load: number) => string): void {
  if (told.season_share === null || told.afternoon_side_deg === undefined) return;
  const { ratio } = window;
  const afternoon = wayOf(told.afternoon_side_deg);
  const [x, y] = middleOf(window, arrays);
  for (const isAfternoon of [true, false]) {
    const side = isAfternoon ? 1 : -1;
    const [right, down] = [side * afternoon[0] * AWAY_PX * ratio, side * afternoon[1] * AWAY_PX * ratio];
    markSun(context, x + right, y + down, [-side * afternoon[0], -side * afternoon[1]], isAfternoon, ink, ratio);
    const load = isAfternoon ? told.afternoon_mj_m2 : told.morning_mj_m2;
    write(context, say(load ?? 0), x + right, y + down + 20 * ratio, 12 * ratio, ink.care, ink.sheet);
  }
}

/** The afternoon side of a row is a full line, the morning side a dashed one. */
export function strokeSide(context: CanvasRenderingContext2D, isAfternoon: boolean, ink: Ink, ratio: number): void {
  context.strokeStyle = ink.care;
  context.lineWidth = (isAfternoon ? 2.4 : 1.2) * ratio;
  context.setLineDash(isAfternoon ? [] : [5 * ratio, 4 * ratio]);
  context.stroke();
  context.setLineDash([]);
}

/** A sun with an arrow the way it shines: full in the afternoon, hollow in the morning. */
export function markSun(context: CanvasRenderingContext2D, x: number, y: number, way: readonly [number, number], isAfternoon: boolean, ink: Ink, ratio: number): void {
  const reach = 6 * ratio;
  for (const isHalo of [true, false]) {
    context.beginPath();
    for (let ray = 0; ray < 8; ray += 1) {
      const [right, down] = wayOf(45 * ray);
      context.moveTo(x + 1.3 * reach * right, y + 1.3 * reach * down);
      context.lineTo(x + 1.8 * reach * right, y + 1.8 * reach * down);
    }
    const tip = [x + 6.5 * reach * way[0], y + 6.5 * reach * way[1]] as const;
    context.moveTo(x + 2.4 * reach * way[0], y + 2.4 * reach * way[1]);
    context.lineTo(...tip);
    for (const side of [-1, 1]) {
      context.moveTo(...tip);
      context.lineTo(tip[0] - reach * (1.2 * way[0] + side * 0.7 * way[1]), tip[1] - reach * (1.2 * way[1] - side * 0.7 * way[0]));
    }
    context.moveTo(x + reach, y);
    context.arc(x, y, reach, 0, 2 * Math.PI);
    context.strokeStyle = isHalo ? ink.sheet : ink.care;
    context.lineWidth = (isHalo ? 6 : 2) * ratio;
    context.stroke();
  }
  context.beginPath();
  context.arc(x, y, reach, 0, 2 * Math.PI);
  context.fillStyle = isAfternoon ? ink.care : ink.sheet;
  context.fill();
}

function traceBeside(context: CanvasRenderingContext2D, window: Window, arrays: Arrays, way: readonly [number, number], reach: number): void {
  const [xy, first] = [arrays['rows_xy'], arrays['rows_first']];
  for (let row = 0; row + 1 < (first?.length ?? 0); row += 1)
    for (let at = first?.[row] ?? 0; at < (first?.[row + 1] ?? 0); at += 1) {
      const x = acrossOf(window, xy?.[2 * at] ?? 0) + reach * way[0];
      const y = downOf(window, xy?.[2 * at + 1] ?? 0) + reach * way[1];
      if (at === first?.[row]) context.moveTo(x, y);
      else context.lineTo(x, y);
    }
}

function middleOf(window: Window, arrays: Arrays): [number, number] {
  const xy = arrays['rows_xy'] ?? new Float32Array();
  let [x, y] = [0, 0];
  for (let at = 0; at < xy.length; at += 2) {
    x += xy[at] ?? 0;
    y += xy[at + 1] ?? 0;
  }
  const count = Math.max(xy.length / 2, 1);
  return [acrossOf(window, x / count), downOf(window, y / count)];
}
