/** What a blank may hold, as the server tells it. */

import type { Field, Section } from '../api/client';

export type { Field } from '../api/client';

/** Every blank by its dotted key, in the order of the brief. */
export function byKey(sections: Section[]): Map<string, Field> {
  return new Map(sections.flatMap(({ fields }) => fields.map((field) => [field.key, field] as const)));
}

/** The word by which the program is asked to find the value itself. */
export const choiceWord = (field: Field): string | null =>
  field.kind === 'choice' && !field.options.includes('choose') ? null : (field.options.find((word) => word === 'choose' || word === 'fit') ?? null);

/** The blank that a refusal is about; null where it is about none. */
export function blankAt(where: string | null | undefined, keys: Iterable<string>): string | null {
  const place = (where ?? '').split(': ').at(-1) ?? '';
  const held = Array.from(keys).filter((key) => place === key || place.startsWith(`${key}.`));
  return held.reduce<string | null>((longest, key) => (longest === null || key.length > longest.length ? key : longest), null);
}
