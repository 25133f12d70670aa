/** What is drawn: corners in metres of the block, and what is said of them. Nothing here changes what it is given. */

import type { Place } from '../sheetMap.svelte';

export type Sort = 'area' | 'line' | 'point';

/** An area has its outline first and then its holes, no corner repeated; a line and a point have one ring. */
export interface Drawn {
  id: number;
  sort: Sort;
  rings: Place[][];
  properties: Record<string, unknown>;
}

export interface Geometry {
  type: string;
  coordinates?: unknown;
  geometries?: Geometry[];
}
export interface Feature {
  type: 'Feature';
  properties: Record<string, unknown> | null;
  geometry: Geometry | null;
}

const LEAST = { area: 3, line: 2, point: 1 } as const;
/** A tenth of a millimetre on the ground. */
const DECIMALS = 9;

/** Whether it has corners enough to be what it is. */
export function isWhole(drawn: Drawn): boolean {
  return drawn.rings.length > 0 && drawn.rings.every((ring) => ring.length >= LEAST[drawn.sort]);
}

/** One shape for each part of the features, in longitude and latitude as they come. */
export function fromFeatures(features: Feature[]): Drawn[] {
  const parts = features.flatMap(({ geometry, properties }) =>
    geometry === null ? [] : partsOf(geometry).map((part) => ({ ...part, properties: { ...properties } })),
  );
  return parts.map((part, index) => ({ ...part, id: index + 1 }));
}

function partsOf({ type, coordinates, geometries }: Geometry): { sort: Sort; rings: Place[][] }[] {
  if (type === 'GeometryCollection') return (geometries ?? []).flatMap(partsOf);
  const single = type.replace('Multi', '');
  const each = (type.startsWith('Multi') ? coordinates : [coordinates]) as unknown[];
  if (single === 'Point') return (each as Place[]).map((place) => ({ sort: 'point', rings: [[flat(place)]] }));
  if (single === 'LineString') return (each as Place[][]).map((line) => ({ sort: 'line', rings: [line.map(flat)] }));
  return (each as Place[][][]).map((rings) => ({ sort: 'area', rings: rings.map(opened) }));
}

const flat = (place: number[]): Place => [place[0] ?? 0, place[1] ?? 0];

/** A ring without its first corner repeated. */
export function opened(ring: number[][]): Place[] {
  const places = ring.map(flat);
  const [first, last] = [places[0], places.at(-1)];
  return places.length > 1 && first !== undefined && last !== undefined && first[0] === last[0] && first[1] === last[1] ? places.slice(0, -1) : places;
}

/** GeoJSON by RFC 7946, from shapes whose corners are in longitude and latitude. */
export function toCollection(shapes: Drawn[]): { type: 'FeatureCollection'; features: Feature[] } {
  return { type: 'FeatureCollection', features: shapes.map(toFeature) };
}

function toFeature({ sort, rings, properties }: Drawn): Feature {
  const rounded = rings.map((ring) => ring.map((place): Place => [round(place[0]), round(place[1])]));
  const first = rounded[0] ?? [];
  const geometry: Geometry =
    sort === 'point'
      ? { type: 'Point', coordinates: first[0] ?? [] }
      : sort === 'line'
        ? { type: 'LineString', coordinates: first }
        : { type: 'Polygon', coordinates: rounded.map((ring, index) => closed(turned(ring, index === 0))) };
  return { type: 'Feature', properties, geometry };
}

const round = (degrees: number): number => Number(degrees.toFixed(DECIMALS));
const closed = (ring: Place[]): Place[] => (ring[0] === undefined ? [] : [...ring, ring[0]]);

/** Outlines run against the clock, holes with it. */
function turned(ring: Place[], isOutline: boolean): Place[] {
  return signedArea(ring) > 0 === isOutline ? ring : [...ring].reverse();
}

/** Positive where the ring runs against the clock. */
export function signedArea(ring: Place[]): number {
  return ring.reduce((sum, [x, y], at) => {
    const [nextX, nextY] = ring[(at + 1) % ring.length] ?? [x, y];
    return sum + (x * nextY - nextX * y) / 2;
  }, 0);
}

export type Rings = Place[][];

export function corner(rings: Rings, ring: number, at: number, place: Place): Rings {
  return onRing(rings, ring, (places) => places.with(at, place));
}
export function withCorner(rings: Rings, ring: number, at: number, place: Place): Rings {
  return onRing(rings, ring, (places) => places.toSpliced(at, 0, place));
}
/** A hole that loses a corner of its last three is no hole any more. */
export function withoutCorner(rings: Rings, ring: number, at: number): Rings {
  const left = onRing(rings, ring, (places) => places.toSpliced(at, 1));
  return ring > 0 && (left[ring]?.length ?? 0) < LEAST.area ? left.toSpliced(ring, 1) : left;
}
export function exchanged(rings: Rings, ring: number, at: number, other: number): Rings {
  return onRing(rings, ring, (places) => {
    const [one, two] = [places[at], places[other]];
    return one === undefined || two === undefined ? places : places.with(at, two).with(other, one);
  });
}
function onRing(rings: Rings, ring: number, change: (places: Place[]) => Place[]): Rings {
  return rings.map((places, index) => (index === ring ? change(places) : places));
}

/** Half-way along the side after a corner, where a new one begins. */
export function halfWay(places: Place[], at: number): Place {
  const [x, y] = places[at] ?? [0, 0];
  const [nextX, nextY] = places[(at + 1) % places.length] ?? [x, y];
  return [(x + nextX) / 2, (y + nextY) / 2];
}
