/** Rings over the wire: their points one after the other, and where each ring begins, with one more entry where the last one ends. */

import type { TypedArray } from '../api/arrays';

export type Ring = [number, number][];

export function ringsOf(arrays: Record<string, TypedArray>, name: string): Ring[] {
  const xy = arrays[`${name}_xy`];
  const starts = arrays[`${name}_first`];
  if (xy === undefined || starts === undefined) return [];
  const rings: Ring[] = [];
  for (let ring = 0; ring < starts.length - 1; ring += 1) {
    const from = starts[ring] ?? 0;
    const to = starts[ring + 1] ?? from;
    const points: Ring = [];
    for (let at = from; at < to; at += 1) points.push([xy[2 * at] ?? 0, xy[2 * at + 1] ?? 0]);
    rings.push(points);
  }
  return rings;
}
