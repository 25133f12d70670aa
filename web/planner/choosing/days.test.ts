import { expect, it } from 'vitest';

import { dayOf, daysOff, monthsBetween } from './days';

it('counts days as the calendar does, leap years too', () => {
  expect(dayOf('2028-03-01') - dayOf('2028-02-28')).toBe(2);
  expect(dayOf('1970-01-02')).toBe(1);
});

it('lists whole months across a year', () => {
  const months = monthsBetween(dayOf('2026-11-26'), dayOf('2027-02-01'));

  expect(months.map(({ year, month }) => `${year}-${month}`)).toEqual(['2026-11', '2026-12', '2027-1', '2027-2']);
  expect(months[0]?.first).toBe(dayOf('2026-11-01'));
  expect(months.at(-1)?.end).toBe(dayOf('2027-03-01'));
});

it('joins days off that follow one another', () => {
  expect(daysOff(['2026-12-26', '2026-12-25', '2027-01-01'])).toEqual([
    [dayOf('2026-12-25'), dayOf('2026-12-27')],
    [dayOf('2027-01-01'), dayOf('2027-01-02')],
  ]);
});
