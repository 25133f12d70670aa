/** What the pen catches besides drawn shapes: what the sheet shows already, and the ends of rows. */

import type { TypedArray } from '../../api/arrays';
import { ringsOf } from '../rings';
import type { Place } from '../sheetMap.svelte';

export interface Targets {
  /** Sides and corners; areas come closed. */
  lines: Place[][];
  places: Place[];
}

/** Keys of the brief whose areas can be caught, and the arrays that hold them. */
const AREAS = [
  ['block.boundary', 'boundary'],
  ['block.exclusions', 'exclusions'],
  ['block.zones', 'zones'],
] as const;

/** Outline, exclusions and zones, but for what is being drawn itself: its old place must not hold it back. */
export function targetsOf(arrays: Record<string, TypedArray>, drawnKey: string): Targets {
  const shown = AREAS.filter(([key]) => key !== drawnKey);
  return { lines: shown.flatMap(([, kind]) => ringsOf(arrays, kind)), places: rowEnds(arrays) };
}

function rowEnds(arrays: Record<string, TypedArray>): Place[] {
  return ringsOf(arrays, 'rows').flatMap((line) => {
    const [first, last] = [line[0], line.at(-1)];
    return first === undefined || last === undefined ? [] : [first, last];
  });
}
