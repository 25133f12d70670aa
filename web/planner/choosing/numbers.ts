/** Numbers as the report writes them: whole ones with all their digits, thin spaces between thousands. */

const THIN = '\u202f';
const DIGITS = 4;

export function numberText(value: number, locale: string): string {
  const whole = Math.abs(value - Math.round(value)) < 1e-9;
  const digits = whole || value === 0 ? 0 : Math.max(0, DIGITS - 1 - Math.floor(Math.log10(Math.abs(value))));
  const parts = new Intl.NumberFormat(locale, { maximumFractionDigits: Math.min(digits, 12), useGrouping: true }).formatToParts(value);
  return parts.map(({ type, value: text }) => (type === 'group' ? THIN : type === 'minusSign' ? '−' : text)).join('');
}

export const percentText = (value: number, locale: string): string => `${numberText(Number(value.toPrecision(4)), locale)}${THIN}%`;
