/** What a value of the brief says to its reader, whatever its kind. */

import { words } from '../words/words.svelte';
import { choiceWord, type Field } from './fields';
import { shown } from './shown';

export function said(field: Field, held: unknown): string {
  const word = choiceWord(field);
  if (word !== null && held === word) return words.say(`blank.${word}`);
  if (typeof held === 'boolean') return words.say(held ? 'yes' : 'no');
  if (Array.isArray(held) && held.some((item) => typeof item === 'object' && !Array.isArray(item))) return words.say('blank.count', { count: held.length });
  if (field.kind === 'choice' && typeof held === 'string') return optionText(field, held);
  return shown(field, held, words.locale) ?? words.say('blank.none');
}

export function optionText(field: Field, option: string): string {
  if (option === 'choose') return words.say('blank.choose');
  const word = `option.${field.key}.${option}`;
  if (words.has(word)) return words.say(word);
  return option === '' ? words.say('blank.none') : (field.option_words[field.options.indexOf(option)] ?? option);
}
