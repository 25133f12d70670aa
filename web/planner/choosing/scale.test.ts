import { describe, expect, it } from 'vitest';

import { lineThrough, nearest, nearestBearing, roundTicks, runsOf, scaleOf } from './scale';

describe('a scale', () => {
  it('lays values out between its ends, upside down as well', () => {
    const down = scaleOf(-100, 100, 200, 0);
    expect([down(-100), down(0), down(100)]).toEqual([200, 100, 0]);
  });
  it('keeps to one place where all values are one', () => {
    expect(scaleOf(5, 5, 10, 90)(5)).toBe(10);
  });
});

describe('ticks', () => {
  it('are round and lie within the values', () => {
    expect(roundTicks(0, 100)).toEqual([0, 50, 100]);
    for (const [low, high] of [[18055, 19434], [-3812, 1906], [0.02, 0.31], [4.73, 5.01]] as const) {
      const ticks = roundTicks(low, high);
      expect(ticks.length).toBeGreaterThan(1);
      expect(ticks.length).toBeLessThanOrEqual(5);
      expect(Math.min(...ticks)).toBeGreaterThanOrEqual(low);
      expect(Math.max(...ticks)).toBeLessThanOrEqual(high);
      const step = (ticks[1] ?? 0) - (ticks[0] ?? 0);
      expect([1, 2, 5]).toContain(Number((step / 10 ** Math.floor(Math.log10(step) + 1e-9)).toPrecision(6)));
    }
  });
  it('are one value where there is no span', () => {
    expect(roundTicks(3, 3)).toEqual([3]);
  });
});

it('draws a line through places', () => {
  expect(lineThrough([[0, 1], [2.25, 3]])).toBe('M0.0 1.0L2.3 3.0');
});

it('finds the runs of true ones', () => {
  expect(runsOf([true, true, false, true, false])).toEqual([[0, 1], [3, 3]]);
  expect(runsOf([])).toEqual([]);
});

it('finds the nearest value, and the nearest bearing past half a turn', () => {
  expect(nearest([0, 32, 64], 47)).toBe(1);
  const bearings = Array.from({ length: 180 }, (_, bearing) => bearing);
  expect(nearestBearing(bearings, 179.8)).toBe(0);
  expect(nearestBearing(bearings, 68.4)).toBe(68);
  expect(nearestBearing([10, 170], 2)).toBe(0);
});
