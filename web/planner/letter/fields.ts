/** What a blank may hold, as the server tells it. */

import type { Source } from '../api/client';

export interface Field {
  key: string;
  kind: string;
  help: string;
  unit: string;
  shown_unit: string;
  shown_factor: number;
  low: number | null;
  high: number | null;
  /** Words that may stand here, or beside a number. */
  options: string[];
  /** Names the program knows; others may be written too. */
  suggestions: string[];
  pattern: string;
  default: unknown;
  default_source: Source | null;
  is_required: boolean;
  may_be_empty?: boolean;
}

/** Every blank by its dotted key, in the order of the brief. */
export function byKey(sections: { fields: Field[] }[]): Map<string, Field> {
  return new Map(sections.flatMap(({ fields }) => fields.map((field) => [field.key, field] as const)));
}

/** The word by which the program is asked to find the value itself. */
export const choiceWord = (field: Field): string | null =>
  field.kind === 'choice' && !field.options.includes('choose') ? null : (field.options.find((word) => word === 'choose' || word === 'fit') ?? null);
