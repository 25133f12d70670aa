import { expect, it } from 'vitest';

import { ringsOf } from '../rings';
import { extentOf, nearestVine } from './rows';

const arrays = {
  vines_xy: Float32Array.of(0, 0, 0, 1.2, 2.5, 0, 2.5, 1.2),
  vines_row: Uint16Array.of(1, 1, 2, 2),
  vines_number: Int32Array.of(1, 2, 1, 2),
  boundary_xy: Float32Array.of(-5, -5, 10, -5, 10, 10, -5, -5),
  boundary_first: Int32Array.of(0, 4),
};

it('finds the vine under the pointer, and none beyond reach', () => {
  expect(nearestVine(arrays, 2.4, 1.1, 0.5)).toMatchObject({ row: 2, number: 2 });
  expect(nearestVine(arrays, 50, 50, 0.5)).toBeNull();
});

it('sees the whole block', () => expect(extentOf(arrays)).toEqual([-5, -5, 10, 10]));

it('takes rings apart', () => expect(ringsOf(arrays, 'boundary')).toEqual([[[-5, -5], [10, -5], [10, 10], [-5, -5]]]));
