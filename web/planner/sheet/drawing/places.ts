/** Places of a block between its own metres, the set-out grid, and longitude and latitude; the server works them out. */

import { api, type Placed } from '../../api/client';
import type { Place } from '../sheetMap.svelte';
import type { System } from './coordinates';

export type Origin = [number, number, number];
export type GivenIn = System | 'frame';

/** So many in one question. */
const MOST = 5000;

/** How one place is told in the systems that a person may choose. */
export type Told = Record<System, Place>;

export class Places {
  /** Axes of the set-out grid, once a place was asked for. */
  axes: [string, string] = ['easting_m', 'northing_m'];
  gridCode = '';

  constructor(
    /** The block whose grids count; null before there is one. */
    readonly block: string | null,
    readonly origin: Origin,
    readonly grid = '',
  ) {}

  async turned(given_in: GivenIn, places: Place[]): Promise<Placed> {
    const whole: Placed = { frame: [], lonlat: [], grid: [], grid_code: this.gridCode, grid_axes: this.axes, origin: this.origin };
    for (let from = 0; from < places.length; from += MOST) {
      const asked = { given_in, places: places.slice(from, from + MOST), origin: this.origin };
      const told = this.block === null ? await api.freePlaces({ ...asked, grid: this.grid }) : await api.places(this.block, asked);
      for (const kind of ['frame', 'lonlat', 'grid'] as const) whole[kind].push(...told[kind]);
      whole.grid_code = this.gridCode = told.grid_code;
      whole.grid_axes = this.axes = told.grid_axes;
    }
    return whole;
  }
}
