/** Lengths for display and input: mm with one decimal, inches in fractions to 1/32. */
import type { UnitsCode } from '../api/schema';

export const MM_PER_INCH = 25.4;
const FRACTION = 32;

/** mm in the given unit. */
export function fromMm(mm: number, units: UnitsCode): number {
  return units === 'in' ? mm / MM_PER_INCH : mm;
}

/** mm as a number of the given unit that a file holds. */
export const inFile = (mm: number, units: UnitsCode, decimals = 3) => Number(fromMm(mm, units).toFixed(decimals));

/** A number of the given unit in mm. */
export function toMm(value: number, units: UnitsCode): number {
  return units === 'in' ? value * MM_PER_INCH : value;
}

/** A length for display without its unit, which is in the heading. */
export function showLength(mm: number | null | undefined, units: UnitsCode, decimals = 1): string {
  if (mm === null || mm === undefined || !Number.isFinite(mm)) return '–';
  return units === 'in' ? fraction(mm / MM_PER_INCH) : tidyZero(mm.toFixed(decimals));
}

/** A length for display with its unit. */
export function showWithUnit(mm: number | null | undefined, units: UnitsCode): string {
  if (mm === null || mm === undefined || !Number.isFinite(mm)) return '–';
  return units === 'in' ? `${fraction(mm / MM_PER_INCH)} in` : `${showLength(mm, units)} mm`;
}

/** A length that metal is cut by, where a tape is too coarse: hundredths of a millimetre, thousandths of an inch. */
export function showFine(mm: number | null | undefined, units: UnitsCode): string {
  if (mm === null || mm === undefined || !Number.isFinite(mm)) return '–';
  return units === 'in' ? `${tidyZero((mm / MM_PER_INCH).toFixed(3))} in` : `${tidyZero(mm.toFixed(2))} mm`;
}

/** A length in decimals, for tooltips. */
export function exactLength(mm: number, units: UnitsCode): string {
  return units === 'in' ? `${(mm / MM_PER_INCH).toFixed(4)} in` : `${mm.toFixed(3)} mm`;
}

/** Inches to the nearest 1/32: `33 15/32`, `5/8`, `-1/4`, `0`. */
export function fraction(inches: number): string {
  const parts = Math.round(Math.abs(inches) * FRACTION);
  const whole = Math.floor(parts / FRACTION);
  let above = parts % FRACTION;
  let below = FRACTION;
  while (above > 0 && above % 2 === 0) {
    above /= 2;
    below /= 2;
  }
  const sign = inches < 0 && parts > 0 ? '-' : '';
  if (above === 0) return `${sign}${whole}`;
  return whole === 0 ? `${sign}${above}/${below}` : `${sign}${whole} ${above}/${below}`;
}

/** A change in small type: `+1.2`; empty when it rounds to zero. */
export function showChange(mm: number, units: UnitsCode): string {
  const text = showLength(Math.abs(mm), units);
  if (Number(text) === 0) return '';
  return `${mm > 0 ? '+' : '−'}${text}`;
}

/** A number for an input: no more decimals than it has, at most four in inches and three in mm. */
export function editable(mm: number, units: UnitsCode): string {
  const value = fromMm(mm, units);
  return tidyZero(String(Number(value.toFixed(units === 'in' ? 4 : 3))));
}

function tidyZero(text: string): string {
  return /^-0(\.0*)?$/.test(text) ? text.slice(1) : text;
}
