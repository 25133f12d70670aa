import { expect, it } from 'vitest';

import { crossesOf, inGrid, roundAbove, ticksOf, valueAt, type Place } from './coordinates';

const fit = { first: [500, 1000, 10, 0, 0, 0, 0, 0, 0, 0], second: [9000, -10, 1000, 0, 0, 0, 0, 0, 0, 0], longitude: [], latitude: [], unit_m: 1000, reach_m: 4000 };

it('adds the terms of the third degree', () => expect(valueAt([1, 2, 3, 4, 5, 6, 7, 8, 9, 10], [2000, 1000], 1000)).toBe(1 + 4 + 3 + 16 + 10 + 6 + 56 + 32 + 18 + 10));

it('turns a place into the grid', () => expect(inGrid(fit, [100, 200])).toEqual([602, 9199]));

it('rounds up to 1, 2, 5 or 10', () => expect([1, 1.1, 2, 3, 5.1, 40].map(roundAbove)).toEqual([1, 2, 2, 5, 10, 50]));

it('puts ticks where the grid lines meet the sides, also of a turned grid', () => {
  const turn = 0.1;
  const toGrid = ([x, y]: Place): Place => [x * Math.cos(turn) - y * Math.sin(turn), -x * Math.sin(turn) - y * Math.cos(turn)];

  const ticks = ticksOf(toGrid, 400, 300, 100);

  expect(ticks.length).toBeGreaterThan(8);
  for (const { axis, value, x, y } of ticks) expect(toGrid([x, y])[axis]).toBeCloseTo(value, 9);
  expect(new Set(ticks.filter(({ side }) => side === 'left').map(({ axis }) => axis))).toEqual(new Set([1]));
});

it('crosses grid lines inside the window', () => {
  const toGrid = ([x, y]: Place): Place => [x + 0.1 * y, y - 0.1 * x];

  const crosses = crossesOf(ticksOf(toGrid, 400, 400, 100));

  expect(crosses.length).toBeGreaterThan(3);
  for (const cross of crosses) for (const value of toGrid(cross)) expect(Math.abs(value / 100 - Math.round(value / 100))).toBeLessThan(1e-9);
});
