/** Display of money, angles, shares and dates. */

/** Money with its currency: `1,653.07 USD`. */
export function showMoney(value: number | null | undefined, currency?: string | null): string {
  if (value === null || value === undefined) return '–';
  const text = value.toLocaleString('en', { minimumFractionDigits: 2, maximumFractionDigits: 2 });
  return currency ? `${text} ${currency}` : text;
}

/** An angle with one decimal: `81.2°`. */
export function showAngle(deg: number | null | undefined): string {
  return deg === null || deg === undefined ? '–' : `${deg.toFixed(1).replace(/^-0\.0$/, '0.0')}°`;
}

/** An angle that metal is cut by, with two decimals: `81.23°`. */
export function showFineAngle(deg: number | null | undefined): string {
  return deg === null || deg === undefined ? '–' : `${deg.toFixed(2).replace(/^-0\.00$/, '0.00')}°`;
}

/** A share as whole per cent. */
export function showShare(share: number): string {
  return `${Math.round(share * 100)} %`;
}

/** A time, short: the hour for today, otherwise the date. */
export function showMoment(milliseconds: number): string {
  const date = new Date(milliseconds);
  const today = new Date().toDateString() === date.toDateString();
  return today
    ? date.toLocaleTimeString('en-GB', { hour: '2-digit', minute: '2-digit' })
    : date.toLocaleDateString('en-GB', { day: 'numeric', month: 'short', year: 'numeric' });
}
