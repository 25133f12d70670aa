/** Zones of soil by what they can carry, and the pits that stand for them. */

import type { Ink } from '../ink';
import { acrossOf, downOf, eachPlace, traceLines, write, type Arrays, type Window } from './canvas';
import { fillTone, type Tone } from './hatch';

export interface Zone {
  name: string;
  pit: string | null;
  area_ha: number;
  depth_m: number | null;
  available_water_mm: number | null;
  potential: string;
}
export interface SoilTold {
  zones: Zone[];
  pits: string[];
}

export const POTENTIALS = ['high', 'medium', 'low', 'unknown'] as const;
const PIT_PX = 5;
/** Zones narrower than this on the screen stay without their words. */
const LEAST_PX = 110;

/** The more a soil can carry, the fuller its tint; told apart by hatching. */
export function toneOfPotential(potential: string, ink: Ink): Tone {
  switch (potential) {
    case 'high':
      return { tint: ink.isDark ? '#4d4735' : '#dcd2ba' };
    case 'medium':
      return { tint: ink.isDark ? '#35342a' : '#f2ecdf', apart: 11, angles: [90] };
    case 'low':
      return { tint: ink.sheet, apart: 6, angles: [45] };
    default:
      return { tint: ink.sheet, apart: 11, angles: [0], dash: [2, 6] };
  }
}

export function paintSoil(context: CanvasRenderingContext2D, window: Window, arrays: Arrays, told: SoilTold, ink: Ink): void {
  const owner = arrays['zones_shape'];
  told.zones.forEach((zone, number) => {
    context.beginPath();
    traceLines(context, window, arrays, 'zones', { isRing: true, isWanted: (line) => owner?.[line] === number });
    fillTone(context, toneOfPotential(zone.potential, ink), ink.soft, window.ratio);
    context.strokeStyle = ink.ink;
    context.lineWidth = window.ratio;
    context.stroke();
  });
}

/** Pits and the words of zones lie over the rows. */
export function paintPits(
  context: CanvasRenderingContext2D,
  window: Window,
  arrays: Arrays,
  told: SoilTold,
  ink: Ink,
  say: (zone: Zone) => string[],
): void {
  eachPlace(window, arrays['pits_xy'], 20, (x, y, at) => {
    markPit(context, x, y, ink, window.ratio);
    write(context, told.pits[at] ?? '', x, y - 13 * window.ratio, 12 * window.ratio, ink.ink, ink.sheet);
  });
  const owner = arrays['zones_shape'];
  told.zones.forEach((zone, number) => {
    const box = extentOf(arrays, (line) => owner?.[line] === number);
    if (box === null || (box[2] - box[0]) / window.resolution < LEAST_PX * window.ratio) return;
    const at = told.pits.indexOf(zone.pit ?? '');
    const pits = arrays['pits_xy'];
    if (at < 0 || pits === undefined) return;
    const [x, y] = [acrossOf(window, pits[2 * at] ?? 0), downOf(window, pits[2 * at + 1] ?? 0)];
    say(zone).forEach((text, line) => write(context, text, x, y + (14 + 14 * line) * window.ratio, 11 * window.ratio, ink.ink, ink.sheet, '400'));
  });
}

/** A square hole with a cross. */
export function markPit(context: CanvasRenderingContext2D, x: number, y: number, ink: Ink, ratio: number): void {
  const half = PIT_PX * ratio;
  context.beginPath();
  context.rect(x - half, y - half, 2 * half, 2 * half);
  context.fillStyle = ink.sheet;
  context.fill();
  context.moveTo(x - half, y - half);
  context.lineTo(x + half, y + half);
  context.moveTo(x + half, y - half);
  context.lineTo(x - half, y + half);
  context.strokeStyle = ink.ink;
  context.lineWidth = 1.3 * ratio;
  context.stroke();
}

function extentOf(arrays: Arrays, isWanted: (line: number) => boolean): [number, number, number, number] | null {
  const xy = arrays['zones_xy'];
  const first = arrays['zones_first'];
  if (xy === undefined || first === undefined) return null;
  const box: [number, number, number, number] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let line = 0; line + 1 < first.length; line += 1) {
    if (!isWanted(line)) continue;
    for (let at = first[line] ?? 0; at < (first[line + 1] ?? 0); at += 1) {
      const [x, y] = [xy[2 * at] ?? 0, xy[2 * at + 1] ?? 0];
      box[0] = Math.min(box[0], x);
      box[1] = Math.min(box[1], y);
      box[2] = Math.max(box[2], x);
      box[3] = Math.max(box[3], y);
    }
  }
  return Number.isFinite(box[0]) ? box : null;
}
