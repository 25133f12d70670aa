import { expect, it } from 'vitest';

import { numberText, percentText } from './numbers';

it('writes numbers as the report does', () => {
  const THIN = '\u202f';
  expect(numberText(18458, 'en-GB')).toBe(`18${THIN}458`);
  expect(numberText(-3812.4, 'en-GB')).toBe(`−3${THIN}812`);
  expect(numberText(90.1849, 'en-GB')).toBe('90.18');
  expect(numberText(0.0203, 'en-GB')).toBe('0.0203');
  expect(numberText(0, 'en-GB')).toBe('0');
  expect(numberText(4.86, 'af-ZA')).toBe('4,86');
  expect(percentText(97.94832, 'en-GB')).toBe(`97.95${THIN}%`);
});
