/** Quantities of the sheet's words in the units of the reader. */

import type { Units } from '../api/client';

type Kind = 'kPa' | 'm' | 'mm' | 'ha' | '%' | 'MJ/m²';

/** Value of one in the unit shown, that unit, and the digits behind the point. */
const IMPERIAL: Partial<Record<Kind, [number, string, number]>> = {
  kPa: [0.145038, 'psi', 1],
  m: [3.28084, 'ft', 1],
  mm: [0.0393701, 'in', 1],
  ha: [2.47105, 'ac', 2],
};
const DIGITS: Record<Kind, number> = { kPa: 0, m: 2, mm: 0, ha: 2, '%': 0, 'MJ/m²': 0 };

/** A number with at most so many digits behind the point; thousands are parted by a narrow space, as on paper. */
export function shown(value: number, digits: number, locale: string, least = 0): string {
  const parts = new Intl.NumberFormat(locale, { minimumFractionDigits: least, maximumFractionDigits: digits }).formatToParts(value);
  return parts.map((part) => (part.type === 'group' ? '\u202f' : part.value)).join('');
}

export function quantity(value: number, kind: Kind, units: Units, locale: string): string {
  const [factor, unit, digits] = (units === 'imperial' ? IMPERIAL[kind] : undefined) ?? [1, kind, DIGITS[kind]];
  return `${shown(value * factor, digits, locale)}\u00a0${unit}`;
}
