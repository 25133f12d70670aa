import { expect, it } from 'vitest';

import af from '../words/af.json';
import en from '../words/en.json';
import { CHAPTERS, finerPoints, keysIn, piecesOf } from './chapters';

it('takes a sentence apart', () => {
  expect(piecesOf('Rows run {rows.bearing} from north, {vines.row_width}.')).toEqual([
    { text: 'Rows run ' },
    { key: 'rows.bearing', tail: '' },
    { text: ' from north, ' },
    { key: 'vines.row_width', tail: '.' },
  ]);
});

it('leaves no blank of a chapter out', () => {
  const rows = CHAPTERS.find(({ id }) => id === 'rows');
  expect(finerPoints(rows!, ['{rows.bearing}'], ['rows.bearing', 'rows.headland', 'money.horizon'])).toEqual(['rows.headland']);
});

it('says the same in every language', () => {
  expect(Object.keys(af).sort()).toEqual(Object.keys(en).sort());
  for (const [id, text] of Object.entries(en)) {
    const other = (af as Record<string, string | string[]>)[id] ?? '';
    const blanks = (words: string | string[]): string[] => (Array.isArray(words) ? keysIn(words) : (words.match(/\{[a-z_]+\}/g) ?? [])).sort();
    expect(blanks(other), id).toEqual(blanks(text));
  }
});
