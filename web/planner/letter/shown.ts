/** How a blank's value reads, and what was typed into it as the brief takes it. */

import type { Field } from './fields';

/** Rates of a year may pass one, and yet are spoken of in per cent. */
const RATES = new Set(['money.loan_rate', 'money.discount_rate', 'money.inflation']);

/** Fractions of one read better as per cent. */
export const isShare = (field: Field): boolean =>
  field.kind === 'quantity' && field.unit === '' && (RATES.has(field.key) || (field.high !== null && field.high <= 1));

/** A month or a day, as the brief writes it: `2027-08`, `08-15` or `2027-08-15`. */
const DATE = /^(?:(\d{4})-)?(\d\d)(?:-(\d\d))?$/;
const MONTHS_PATTERN = '(0[1-9]|1[0-2])';

/** Between thousands, in every language, as the figures of the plan have it. */
const THIN_SPACE = '\u202f';
const UNIT_WORDS: Record<string, string> = { m3: 'm³', 'm3/h': 'm³/h', degC: '°C', deg: '°', 'kN/m3': 'kN/m³' };

export function shownNumber(value: number, locale: string): string {
  return new Intl.NumberFormat(locale, { maximumSignificantDigits: 6, useGrouping: Math.abs(value) >= 10000 })
    .formatToParts(value)
    .map(({ type, value: part }) => (type === 'group' ? THIN_SPACE : part))
    .join('');
}

/** A month or day in words; as it is written where it is none. */
function shownDate(written: string, locale: string): string {
  const [, year, month = '', day] = DATE.exec(written) ?? [];
  if (month === '') return written;
  const date = new Date(Date.UTC(Number(year ?? 2000), Number(month) - 1, Number(day ?? 1)));
  return new Intl.DateTimeFormat(locale, {
    timeZone: 'UTC',
    month: 'long',
    ...(year === undefined ? {} : { year: 'numeric' }),
    ...(day === undefined ? {} : { day: 'numeric' }),
  }).format(date);
}

/** A value in its blank; null where nothing stands. */
export function shown(field: Field, value: unknown, locale: string): string | null {
  if (value === null || value === undefined || value === '') return null;
  if (Array.isArray(value)) return value.length === 0 ? null : value.map((item) => shownItem(field, item, locale)).join(', ');
  if (typeof value === 'string' && field.kind === 'text' && field.pattern.includes(MONTHS_PATTERN)) return shownDate(value, locale);
  if (typeof value !== 'number') return String(value);
  if (isShare(field)) return `${shownNumber(value * 100, locale)}\u00a0%`;
  const number = shownNumber(value * field.shown_factor, locale);
  const unit = UNIT_WORDS[field.shown_unit] ?? field.shown_unit;
  if (unit === '') return number;
  return unit === '°' ? number + unit : `${number}\u00a0${unit}`;
}

/** An item of a list; values that stand together stand with a dash between them. */
function shownItem(field: Field, item: unknown, locale: string): string {
  if (!Array.isArray(item)) return (field.of[0] === undefined ? null : shown(field.of[0], item, locale)) ?? String(item);
  return item.map((one, at) => (field.of[at] === undefined ? null : shown(field.of[at], one, locale)) ?? String(one)).join('–');
}

/** What the editor of a blank starts with: plain digits with a point, and the unit the brief knows. */
export function editable(field: Field, value: unknown): string {
  if (value === null || value === undefined) return '';
  if (typeof value !== 'number') return String(value);
  if (isShare(field)) return `${rounded(value * 100)} %`;
  const number = rounded(value * field.shown_factor);
  return field.shown_unit === '' || field.shown_unit === 'deg' ? String(number) : `${number} ${field.shown_unit}`;
}

const rounded = (value: number): number => Number(value.toPrecision(8));
const NUMBER = /^-?\d*\.?\d+(e-?\d+)?$/i;
const AS_TYPED = new Set<Field['kind']>(['text', 'file', 'choice']);

/** What was typed, as the brief takes it: text with a unit stays text, a bare number becomes one.
 *
 * A bare number counts in the unit shown, so that a reader in feet writes feet, and one of shares per cent. */
export function taken(field: Field, typed: string, locale: string): unknown {
  const text = typed.trim();
  if (text === '') return null;
  if (field.kind === 'flag') return text === 'true';
  if (AS_TYPED.has(field.kind) || field.options.includes(text)) return text;
  const plain = plainNumber(text, locale);
  if (!NUMBER.test(plain)) return plain;
  if (isShare(field)) return `${plain} %`;
  return field.shown_factor === 1 ? Number(plain) : `${plain} ${field.shown_unit}`;
}

const SPACE_OF_THOUSANDS = /(\d)[\s\u00a0\u202f](?=\d{3}(\D|$))/g;
/** `1,500` is fifteen hundred to one reader and one and a half to another. */
const COMMA_OF_THOUSANDS = /^-?[1-9]\d{0,2}(,\d{3})+(?=[^\d,]|$)/;

/** A number with a point and no marks of thousands; as it was typed where its comma may mean either. */
function plainNumber(text: string, locale: string): string {
  const closed = text.replace(SPACE_OF_THOUSANDS, '$1');
  if (!COMMA_OF_THOUSANDS.test(closed)) return closed.replace(/^(-?\d+),(\d+)/, '$1.$2');
  const hasDecimalComma = new Intl.NumberFormat(locale).format(1.5).includes(',');
  return hasDecimalComma ? text : closed.replace(COMMA_OF_THOUSANDS, (number) => number.replaceAll(',', ''));
}
