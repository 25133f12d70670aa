/** Lengths of sides and areas of what is drawn, on the plan, and how they are told. */

import type { Units } from '../../api/client';
import type { Place } from '../sheetMap.svelte';
import { signedArea, type Drawn, type Rings } from './shapes';

const FOOT_M = 0.3048;
const ACRE_M2 = 4046.8564224;
const HECTARE_M2 = 10_000;
const SMALL_M2 = 1_000;

/** Length from each corner to the next; the last side of an area closes it. */
export function sides(places: Place[], isClosed: boolean): number[] {
  const last = isClosed && places.length > 2 ? places.length : places.length - 1;
  return Array.from({ length: Math.max(last, 0) }, (_, at) => {
    const [x, y] = places[at] ?? [0, 0];
    const [nextX, nextY] = places[(at + 1) % places.length] ?? [x, y];
    return Math.hypot(nextX - x, nextY - y);
  });
}

/** Length of a line, or all round the outline of an area. */
export function lengthOf({ sort, rings }: Pick<Drawn, 'sort' | 'rings'>): number {
  return sides(rings[0] ?? [], sort === 'area').reduce((sum, side) => sum + side, 0);
}

/** Area less its holes. */
export function areaOf(rings: Rings): number {
  return rings.reduce((sum, ring, index) => sum + (index === 0 ? 1 : -1) * Math.abs(signedArea(ring)), 0);
}

export function lengthText(metres: number, units: Units, locale: string): string {
  const value = units === 'imperial' ? metres / FOOT_M : metres;
  return `${number(value, units === 'imperial' ? 1 : 2, locale)} ${units === 'imperial' ? 'ft' : 'm'}`;
}

export function areaText(squareMetres: number, units: Units, locale: string): string {
  if (units === 'imperial') return `${number(squareMetres / ACRE_M2, 3, locale)} acre`;
  return squareMetres < SMALL_M2 ? `${number(squareMetres, 1, locale)} m²` : `${number(squareMetres / HECTARE_M2, 4, locale)} ha`;
}

function number(value: number, digits: number, locale: string): string {
  return value.toLocaleString(locale, { minimumFractionDigits: digits, maximumFractionDigits: digits });
}
