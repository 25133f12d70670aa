import Projection from 'ol/proj/Projection';
import { transform } from 'ol/proj';
import { expect, it } from 'vitest';

import { tiles, windowOf } from './groundPicture';

const FRAME = '+proj=tmerc +lat_0=-33.0 +lon_0=20.0 +k=1.0000486580 +x_0=0 +y_0=0 +datum=WGS84 +units=m +no_defs';

it('fetches a quarter of the view more on every side', () => {
  expect(windowOf([0, 0, 400, 200], 0.5)).toEqual({ west_m: -100, south_m: -50, east_m: 500, north_m: 250, columns: 1200, rows: 600 });
});

it('never asks for more pixels or ground than the server gives', () => {
  const far = windowOf([-90_000, -90_000, 90_000, 90_000], 20);
  expect([far.west_m, far.north_m]).toEqual([-50_000, 50_000]);
  expect(Math.max(far.columns, far.rows)).toBeLessThanOrEqual(4096);
});

it('lays tiles where the globe has them', () => {
  const projection = new Projection({ code: 'block', units: 'm', metersPerUnit: 1 });
  tiles(projection, FRAME, 'http://127.0.0.1/{z}/{x}/{y}.png');

  const [x, y] = transform([0, 0], projection, 'EPSG:3857');
  // Spherical Mercator by its formula: x = R λ, y = R ln tan(π/4 + φ/2), R = 6 378 137 m.
  expect(x).toBeCloseTo((6_378_137 * 20 * Math.PI) / 180, 3);
  expect(y).toBeCloseTo(6_378_137 * Math.log(Math.tan(Math.PI / 4 - (33 * Math.PI) / 360)), 3);
  const [east, north] = transform(transform([120, -80], projection, 'EPSG:3857'), 'EPSG:3857', projection);
  expect(east).toBeCloseTo(120, 5);
  expect(north).toBeCloseTo(-80, 5);
});
