import { describe, expect, it } from 'vitest';

import { choiceWord, type Field } from './fields';
import { editable, shown, taken } from './shown';

const FIELD: Field = {
  key: 'rows.headland', kind: 'quantity', name: 'headland', help: '', unit: 'm', shown_unit: 'm', shown_factor: 1, low: 0, high: 50,
  options: [], option_words: [], suggestions: [], pattern: '', default: 8, default_source: null, is_required: false, may_be_empty: false, of: [],
};
const field = (other: Partial<Field>): Field => ({ ...FIELD, ...other });
const FEET = field({ shown_unit: 'ft', shown_factor: 1 / 0.3048 });
const SHARE = field({ unit: '', shown_unit: '', low: 0, high: 0.5 });

describe('a value in its blank', () => {
  it('stands with its unit, as the language writes numbers', () => {
    expect(shown(FIELD, 2.5, 'en-GB')).toBe('2.5\u00a0m');
    expect(shown(FIELD, 2.5, 'af-ZA')).toBe('2,5\u00a0m');
  });
  it('is told in feet to a reader in feet', () => expect(shown(FEET, 3.048, 'en-GB')).toBe('10\u00a0ft'));
  it('tells shares of one as per cent', () => expect(shown(SHARE, 0.03, 'en-GB')).toBe('3\u00a0%'));
  it('tells rates of a year as per cent, also where they may pass one', () =>
    expect(shown(field({ key: 'money.loan_rate', unit: '', shown_unit: '', high: 2 }), 0.11, 'en-GB')).toBe('11\u00a0%'));
  it('parts thousands as the figures of the plan do', () => expect(shown(FIELD, 52000, 'en-GB')).toBe('52\u202f000\u00a0m'));
  it.each([
    ['2027-08', 'August 2027', 'Augustus 2027'],
    ['06-20', '20 June', '20 Junie'],
    ['2027-02-03', '3 February 2027', '3 Februarie 2027'],
    ['soon', 'soon', 'soon'],
  ])('tells the date %s in words', (written, english, afrikaans) => {
    const date = field({ kind: 'text', pattern: '^$|^\\d{4}-(0[1-9]|1[0-2])$' });
    expect(shown(date, written, 'en-GB')).toBe(english);
    expect(shown(date, written, 'af-ZA')).toBe(afrikaans);
    expect(editable(date, written)).toBe(written);
  });
  it('stands as a list, each with its unit', () => {
    expect(shown(field({ kind: 'list', of: [FIELD] }), [1, 2.5], 'en-GB')).toBe('1\u00a0m, 2.5\u00a0m');
    expect(shown(field({ kind: 'list', of: [FIELD, FEET] }), [[1, 3.048]], 'en-GB')).toBe('1\u00a0m–10\u00a0ft');
  });
  it('is nothing where nothing stands', () => {
    expect(shown(FIELD, null, 'en-GB')).toBeNull();
    expect(shown(field({ kind: 'list' }), [], 'en-GB')).toBeNull();
  });
});

describe('what was typed', () => {
  it.each([
    ['8', 8],
    ['2,75', 2.75],
    ['0,125', 0.125],
    ['12 500', 12500],
    ['12 500,125', 12500.125],
    ['9 ft', '9 ft'],
    ['', null],
  ])('%s is taken as %j', (typed, expected) => {
    for (const locale of ['en-GB', 'af-ZA']) expect(taken(FIELD, typed, locale)).toEqual(expected);
  });
  it.each([
    ['1,500', 1500],
    ['-52,000', -52000],
    ['52,000 m3', '52000 m3'],
    ['1,500,000.5', 1500000.5],
    ['1,500,5', '1.500,5'],
  ])('%s has commas between its thousands, and is taken as %j', (typed, expected) => expect(taken(FIELD, typed, 'en-GB')).toEqual(expected));
  it.each(['1,500', '52,000 m3', '1,500,000'])('%s stays as it is, to be refused, where the comma is that of decimals', (typed) =>
    expect(taken(FIELD, typed, 'af-ZA')).toBe(typed));
  it.each([
    ['3', '3 %'],
    ['2,5', '2.5 %'],
    ['3 %', '3 %'],
  ])('%s of a share is taken as %s', (typed, expected) => expect(taken(SHARE, typed, 'en-GB')).toBe(expected));
  it('counts bare numbers in the unit that is shown', () => expect(taken(FEET, '9', 'en-GB')).toBe('9 ft'));
  it('keeps text as it is', () => expect(taken(field({ kind: 'text' }), '2027', 'en-GB')).toBe('2027'));
  it('knows yes from no', () => expect(taken(field({ kind: 'flag' }), 'true', 'en-GB')).toBe(true));
  it('goes in as it came out', () => {
    for (const value of [0.5, 8, 12.25]) expect(taken(FIELD, editable(FIELD, value), 'en-GB')).toBe(`${value} m`);
    expect(taken(SHARE, editable(SHARE, 0.03), 'en-GB')).toBe('3 %');
  });
});

it('knows the word that leaves a blank to the program', () => {
  expect(choiceWord(field({ options: ['choose'] }))).toBe('choose');
  expect(choiceWord(field({ kind: 'choice', options: ['bed', 'bags'] }))).toBeNull();
});
