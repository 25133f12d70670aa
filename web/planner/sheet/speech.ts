/** Words on the sheet and in its legend, as the reader speaks and measures. */

import type { Units } from '../api/client';
import { words } from '../words/words.svelte';
import type { Speech } from './paint/scene';
import { quantity } from './quantities';

export function speechFor(units: Units): Speech {
  const say = (value: number, kind: Parameters<typeof quantity>[1]): string => quantity(value, kind, units, words.locale);
  return {
    zone: ({ potential, depth_m, available_water_mm }) => [
      words.say(`sheet.potential.${potential}`),
      ...(available_water_mm === null ? [] : [words.say('sheet.zone.water', { water: say(available_water_mm, 'mm') })]),
      ...(depth_m === null ? [] : [words.say('sheet.zone.depth', { depth: say(depth_m, 'm') })]),
    ],
    height: (height_m) => say(height_m, 'm'),
    slopePlace: (kind, value) => say(value, kind === 'steepest' ? '%' : kind === 'low' ? 'm' : 'ha'),
    set: (set) => words.say('sheet.set', { set }),
    worst: (row, kpa) => words.say('sheet.worst', { row, pressure: say(kpa, 'kPa') }),
    load: (load) => say(load, 'MJ/m²'),
  };
}
