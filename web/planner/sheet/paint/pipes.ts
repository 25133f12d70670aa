/** Pipes by kind, valves and other devices, and the ground of each set: by shape first, then colour. */

import type { Ink } from '../ink';
import { acrossOf, downOf, eachPlace, traceLines, write, type Arrays, type Window } from './canvas';
import { strokeTone, type Tone } from './hatch';

export interface PipesTold {
  pipes: { code: string; kind: string; row: number | null }[];
  valves: { code: string; kind: string }[];
}
interface Stroke {
  width: number;
  dash: readonly number[];
  hollow: number;
}

/** A mainline is hollow, so that a submain in the same trench is seen in it. */
export const STROKES: Record<string, Stroke> = {
  mainline: { width: 5.6, dash: [], hollow: 3 },
  submain: { width: 2, dash: [8, 3], hollow: 0 },
  lateral: { width: 0.8, dash: [], hollow: 0 },
};
export const PIPE_KINDS = ['mainline', 'submain', 'lateral'] as const;
/** In the order of the legend. */
export const DEVICES = ['valve', 'air valve', 'drain', 'flush valve', 'pressure point'] as const;
/** Devices of rows crowd the sheet from further away. */
const ROW_DEVICES = new Set(['flush valve', 'pressure point']);
const CLOSE_PX_M = 1.2;
const CODES_PX_M = 1;
/** A gauge point is left out where another device stands so near, in pixels. */
const CROWDED_PX = 8;
const TOUCHING = 1.02;

/** Ground of the sets in turn: neighbours differ in tint and in hatching. */
export function toneOfSet(number: number, ink: Ink): Tone {
  const water = `${ink.water}30`;
  const tones: Tone[] = [
    { tint: ink.sheet },
    { tint: water, apart: 12, angles: [45] },
    { tint: ink.ground },
    { tint: ink.sheet, apart: 8, angles: [135] },
    { tint: water },
    { tint: ink.ground, apart: 10, angles: [45, 135] },
  ];
  return tones[number % tones.length] ?? { tint: ink.sheet };
}

export const setsOf = (arrays: Arrays): number[] => [...new Set(arrays['pipes_set'] ?? [])].filter((set) => set > 0).sort((one, other) => one - other);

/** Ground that each set waters: its rows with half a row width to either side. */
export function paintSets(context: CanvasRenderingContext2D, window: Window, arrays: Arrays, told: PipesTold, rowWidth: number, ink: Ink): void {
  const sets = arrays['pipes_set'];
  for (const set of setsOf(arrays)) {
    context.beginPath();
    traceLines(context, window, arrays, 'pipes', { isWanted: (line) => sets?.[line] === set && told.pipes[line]?.kind === 'lateral' });
    context.lineWidth = Math.max((TOUCHING * rowWidth) / window.resolution, 1);
    strokeTone(context, toneOfSet(set - 1, ink), ink.soft, window.ratio);
  }
}

export function paintPipes(context: CanvasRenderingContext2D, window: Window, arrays: Arrays, told: PipesTold, ink: Ink, isThin = false): void {
  for (const kind of ['lateral', 'mainline', 'submain'])
    if (!isThin || kind !== 'lateral') {
      context.beginPath();
      traceLines(context, window, arrays, 'pipes', { isWanted: (line) => told.pipes[line]?.kind === kind });
      strokePipe(context, kind, ink, window.ratio);
    }
}

/** Stroke the path as a kind of pipe. */
export function strokePipe(context: CanvasRenderingContext2D, kind: string, ink: Ink, ratio: number): void {
  const look = STROKES[kind] ?? { width: 1, dash: [], hollow: 0 };
  context.strokeStyle = ink.water;
  context.lineWidth = look.width * ratio;
  context.setLineDash(look.dash.map((part) => part * ratio));
  context.stroke();
  context.setLineDash([]);
  if (look.hollow === 0) return;
  context.strokeStyle = ink.sheet;
  context.lineWidth = look.hollow * ratio;
  context.stroke();
}

export function paintDevices(context: CanvasRenderingContext2D, window: Window, arrays: Arrays, told: PipesTold, ink: Ink, kinds: readonly string[]): void {
  const isClose = window.ratio / window.resolution >= CLOSE_PX_M;
  const taken: [number, number][] = [];
  for (const kind of kinds) {
    if (ROW_DEVICES.has(kind) && !isClose) continue;
    eachPlace(window, arrays['valves_xy'], 20, (x, y, at) => {
      const own = told.valves[at];
      if (own?.kind !== kind) return;
      const isCrowded = kind === 'pressure point' && taken.some(([left, top]) => Math.hypot(x - left, y - top) < CROWDED_PX * window.ratio);
      if (isCrowded) return;
      markDevice(context, kind, x, y, ink, window.ratio);
      taken.push([x, y]);
      if (kind === 'valve' && window.ratio / window.resolution >= CODES_PX_M)
        write(context, own.code, x, y - 13 * window.ratio, 11 * window.ratio, ink.ink, ink.sheet);
    });
  }
  eachPlace(window, arrays['source_xy'], 20, (x, y) => markSource(context, x, y, ink, window.ratio));
}

/** Where the water comes from: a disc in a ring. */
export function markSource(context: CanvasRenderingContext2D, x: number, y: number, ink: Ink, ratio: number): void {
  context.beginPath();
  context.arc(x, y, 7 * ratio, 0, 2 * Math.PI);
  context.fillStyle = ink.sheet;
  context.fill();
  context.strokeStyle = ink.water;
  context.lineWidth = 2 * ratio;
  context.stroke();
  context.beginPath();
  context.arc(x, y, 3.6 * ratio, 0, 2 * Math.PI);
  context.fillStyle = ink.water;
  context.fill();
}

export function markDevice(context: CanvasRenderingContext2D, kind: string, x: number, y: number, ink: Ink, ratio: number): void {
  const size = 5 * ratio;
  context.beginPath();
  if (kind === 'valve') polygon(context, [[x - 1.2 * size, y - 0.8 * size], [x - 1.2 * size, y + 0.8 * size], [x + 1.2 * size, y - 0.8 * size], [x + 1.2 * size, y + 0.8 * size]]);
  else if (kind === 'air valve') polygon(context, [[x, y - size], [x + 0.9 * size, y + 0.6 * size], [x - 0.9 * size, y + 0.6 * size]]);
  else if (kind === 'drain') polygon(context, [[x, y + size], [x + 0.9 * size, y - 0.6 * size], [x - 0.9 * size, y - 0.6 * size]]);
  else if (kind === 'flush valve') context.rect(x - 0.65 * size, y - 0.65 * size, 1.3 * size, 1.3 * size);
  else context.arc(x, y, 0.75 * size, 0, 2 * Math.PI);
  const isFull = kind === 'valve' || kind === 'drain';
  context.fillStyle = isFull ? ink.ink : ink.sheet;
  context.strokeStyle = isFull ? ink.sheet : ink.ink;
  context.lineWidth = (isFull ? 0.8 : 1.2) * ratio;
  context.fill();
  context.stroke();
  if (kind !== 'pressure point') return;
  context.beginPath();
  context.moveTo(x - 0.75 * size, y);
  context.lineTo(x + 0.75 * size, y);
  context.moveTo(x, y - 0.75 * size);
  context.lineTo(x, y + 0.75 * size);
  context.stroke();
}

/** Name each set in the middle of its rows. */
export function writeSets(context: CanvasRenderingContext2D, window: Window, arrays: Arrays, told: PipesTold, ink: Ink, say: (set: number) => string): void {
  const [xy, first, sets] = [arrays['pipes_xy'], arrays['pipes_first'], arrays['pipes_set']];
  if (xy === undefined || first === undefined || sets === undefined) return;
  for (const set of setsOf(arrays)) {
    let [x, y, count] = [0, 0, 0];
    told.pipes.forEach(({ kind }, line) => {
      if (kind !== 'lateral' || sets[line] !== set) return;
      for (const at of [first[line] ?? 0, (first[line + 1] ?? 1) - 1]) {
        x += xy[2 * at] ?? 0;
        y += xy[2 * at + 1] ?? 0;
        count += 1;
      }
    });
    if (count > 0) write(context, say(set), acrossOf(window, x / count), downOf(window, y / count), 14 * window.ratio, ink.ink, ink.sheet);
  }
}

function polygon(context: CanvasRenderingContext2D, corners: readonly (readonly [number, number])[]): void {
  corners.forEach(([x, y], at) => (at === 0 ? context.moveTo(x, y) : context.lineTo(x, y)));
  context.closePath();
}
