import { describe, expect, it } from 'vitest';

import { taken, written } from './coordinates';
import { back, begun, forth, put, remade, states } from './history';
import { areaOf, areaText, lengthOf, lengthText, sides } from './measures';
import { corner, exchanged, fromFeatures, halfWay, isWhole, signedArea, toCollection, withCorner, withoutCorner, type Drawn, type Feature } from './shapes';

const SQUARE: [number, number][] = [[0, 0], [40, 0], [40, 30], [0, 30]];
const HOLE: [number, number][] = [[10, 10], [20, 10], [20, 20], [10, 20]];
const area = (rings: [number, number][][]): Drawn => ({ id: 1, sort: 'area', rings, properties: {} });

describe('shapes', () => {
  it('come from features part by part, each with what is said of it', () => {
    const features: Feature[] = [
      { type: 'Feature', properties: { kind: 'rock' }, geometry: { type: 'MultiPoint', coordinates: [[1, 2], [3, 4, 9]] } },
      { type: 'Feature', properties: null, geometry: { type: 'Polygon', coordinates: [[...SQUARE, SQUARE[0]]] } },
      { type: 'Feature', properties: {}, geometry: null },
    ];

    const drawn = fromFeatures(features);

    expect(drawn.map(({ sort }) => sort)).toEqual(['point', 'point', 'area']);
    expect(drawn[1]).toMatchObject({ rings: [[[3, 4]]], properties: { kind: 'rock' } });
    expect(drawn[2]?.rings).toEqual([SQUARE]);
    expect(new Set(drawn.map(({ id }) => id)).size).toBe(3);
  });

  it('go out as GeoJSON: closed, outlines against the clock, holes with it', () => {
    const { features } = toCollection([area([[...SQUARE].reverse(), HOLE])]);

    const rings = features[0]?.geometry?.coordinates as [number, number][][];
    expect(rings.map((ring) => [ring[0], ring.at(-1)]).every(([first, last]) => first?.join() === last?.join())).toBe(true);
    expect(rings.map((ring) => Math.sign(signedArea(ring.slice(0, -1))))).toEqual([1, -1]);
  });

  it('come back as they went out', () => {
    const shapes: Drawn[] = [
      area([SQUARE]),
      { id: 2, sort: 'line', rings: [SQUARE], properties: { name: 'drain' } },
      { id: 3, sort: 'point', rings: [[[1.5, 2.5]]], properties: {} },
    ];

    expect(fromFeatures(toCollection(shapes).features)).toEqual(shapes);
  });

  it('change corner by corner and stay what they were', () => {
    const rings = [SQUARE];

    expect(corner(rings, 0, 1, [41, 1])[0]?.[1]).toEqual([41, 1]);
    expect(withCorner(rings, 0, 4, [0, 15])[0]).toHaveLength(5);
    expect(withoutCorner(rings, 0, 0)[0]).toEqual(SQUARE.slice(1));
    expect(exchanged(rings, 0, 0, 1)[0]?.slice(0, 2)).toEqual([[40, 0], [0, 0]]);
    expect(halfWay(SQUARE, 3)).toEqual([0, 15]);
    expect(rings).toEqual([SQUARE]);
  });

  it('lose a hole with its third corner', () => {
    expect(withoutCorner([SQUARE, HOLE.slice(1)], 1, 0)).toEqual([SQUARE]);
  });

  it('are whole with corners enough', () => {
    expect(isWhole(area([SQUARE.slice(2)]))).toBe(false);
    expect(isWhole(area([SQUARE]))).toBe(true);
    expect(isWhole(area([]))).toBe(false);
  });
});

describe('measures', () => {
  it('tell every side, the last one closing an area', () => {
    expect(sides(SQUARE, true)).toEqual([40, 30, 40, 30]);
    expect(sides(SQUARE, false)).toEqual([40, 30, 40]);
    expect(sides([], true)).toEqual([]);
    expect(lengthOf(area([SQUARE, HOLE]))).toBe(140);
  });

  it('take holes off an area', () => {
    expect(areaOf([SQUARE, HOLE])).toBe(1100);
    expect(areaText(1100, 'metric', 'en')).toBe('0.1100 ha');
    expect(areaText(999, 'metric', 'en')).toBe('999.0 m²');
    expect(areaText(4046.8564224, 'imperial', 'en')).toBe('1.000 acre');
    expect(lengthText(3.048, 'imperial', 'en')).toBe('10.0 ft');
  });
});

describe('coordinates', () => {
  it('are taken as people type them', () => {
    expect(taken('-93 412,255')).toBe(-93412.255);
    expect(taken('−33.6°')).toBe(-33.6);
    expect(taken('19.3.1')).toBe(null);
    expect(taken('')).toBe(null);
    expect(taken('1e5')).toBe(null);
  });

  it('are written to the millimetre', () => {
    expect(written(3652810.12345, 'grid')).toBe('3652810.123');
    expect(written(19.3, 'lonlat')).toBe('19.30000000');
  });
});

describe('history', () => {
  it('goes back and forth, and forgets what was taken back with the next step', () => {
    const drawn = put(put(begun(1), 2), 3);

    expect(back(drawn).now).toBe(2);
    expect(forth(back(drawn))).toEqual(drawn);
    expect(put(back(drawn), 4)).toEqual({ past: [1, 2], now: 4, next: [] });
    expect(back(begun(1)).now).toBe(1);
  });

  it('keeps its steps when all states are made anew', () => {
    const drawn = back(put(put(begun(1), 2), 3));

    expect(remade(drawn, states(drawn).map((state) => state * 10))).toEqual({ past: [10], now: 20, next: [30] });
  });
});
