/** What a row of a list is called: its month, its year, or its number. */

import type { Field } from './fields';

/** A row's name; `numbered` and `ofYear` say the words around a number. */
export function rowName(field: Field, at: number, locale: string, numbered: (count: number) => string, ofYear: (count: number) => string): string {
  if (field.key.endsWith('by_month')) return new Intl.DateTimeFormat(locale, { month: 'long', timeZone: 'UTC' }).format(new Date(Date.UTC(2001, at, 15)));
  if (field.key.endsWith('by_year')) return ofYear(at + 1);
  return numbered(at + 1);
}
