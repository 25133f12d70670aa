/** Coordinates as a person reads and types them. */

export type System = 'grid' | 'lonlat';

/** Millimetres on the ground, either way. */
const DIGITS: Record<System, number> = { grid: 3, lonlat: 8 };

export function written(value: number, system: System): string {
  return value.toFixed(DIGITS[system]);
}

/** A number as people type it: spaces between thousands, comma or point; null for none. */
export function taken(text: string): number | null {
  const plain = text.replace(/[\s\u00a0\u202f°]/g, '').replace('−', '-').replace(',', '.');
  return /^[+-]?(\d+\.?\d*|\.\d+)$/.test(plain) ? Number(plain) : null;
}
