/** Days along the calendar: a day as a number, months across a width. */

const DAY_MS = 86_400_000;

/** Days since 1970, of a date such as `2027-04-20`. */
export const dayOf = (date: string): number => Math.round(Date.parse(`${date}T00:00:00Z`) / DAY_MS);

export interface Month {
  year: number;
  /** 1 to 12. */
  month: number;
  /** Its first day, and the first behind it. */
  first: number;
  end: number;
}

/** Whole months from that of one day to that of another. */
export function monthsBetween(first: number, last: number): Month[] {
  const months: Month[] = [];
  const start = new Date(first * DAY_MS);
  let year = start.getUTCFullYear();
  let month = start.getUTCMonth();
  for (;;) {
    const begin = Date.UTC(year, month, 1) / DAY_MS;
    if (begin > last) return months;
    months.push({ year, month: month + 1, first: begin, end: Date.UTC(year, month + 1, 1) / DAY_MS });
    month += 1;
    if (month === 12) [year, month] = [year + 1, 0];
  }
}

/** Runs of days off that follow one another, as first day and the first behind. */
export function daysOff(dates: readonly string[]): [number, number][] {
  const runs: [number, number][] = [];
  for (const day of dates.map(dayOf).sort((one, other) => one - other)) {
    const last = runs.at(-1);
    if (last !== undefined && last[1] === day) last[1] = day + 1;
    else runs.push([day, day + 1]);
  }
  return runs;
}
