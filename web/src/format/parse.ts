/** Parsing of number fields: `41.3`, `41,3`, `41.3 mm`, `1 5/8`, `1 5/8 in`, `4*25.4`, `=4*25.4`. */
import type { UnitsCode } from '../api/schema';
import { toMm } from './length';

/** A parsed length: mm and, when typed with a unit or fraction, the text for the job file. */
export interface Typed {
  mm: number;
  text?: string;
}

const NUMBER = /^([+-])?\s*(?:(\d+)\s+)?(\d+)\s*\/\s*(\d+)$|^([+-]?(?:\d+\.?\d*|\.\d+))$/;

/** A comma that can be read in two ways: `1,250` is 1.25 or 1250. */
export function isAmbiguous(text: string): boolean {
  return /(^|[^\d])[1-9]\d{0,2}(,\d{3})+(?![\d])/.test(text);
}

/** Decimal commas as points; a comma that may part thousands stays, and is refused. */
function withPoint(text: string): string {
  return isAmbiguous(text) ? text : text.replace(/(\d),(\d)/g, '$1.$2');
}

/** A plain or fractional number; null when it is not a number. */
export function parseNumber(text: string): number | null {
  const found = NUMBER.exec(withPoint(text.trim()));
  if (!found) return null;
  if (found[5] !== undefined) return Number(found[5]);
  const below = Number(found[4]);
  if (below === 0) return null;
  const value = Number(found[2] ?? 0) + Number(found[3]) / below;
  return found[1] === '-' ? -value : value;
}

/** A length in `units` unless it has its own unit; null when it is not a length. */
export function parseLength(text: string, units: UnitsCode): Typed | null {
  const trimmed = withPoint(text.trim());
  if (trimmed.startsWith('=')) {
    const sum = parseSum(trimmed.slice(1));
    return sum === null ? null : { mm: toMm(sum, units) };
  }
  const found = /^(.*?)\s*(mm|cm|m|in|inch|")?$/i.exec(trimmed);
  const number = found ? parseNumber(found[1] ?? '') : null;
  if (!found) return null;
  if (number === null) {
    const sum = parseSum(trimmed);
    return sum === null ? null : { mm: toMm(sum, units) };
  }
  const unit = (found[2] ?? '').toLowerCase();
  const mm = unit === '' ? toMm(number, units) : number * (MM_OF[unit] ?? 1);
  if (unit === '' && !(found[1] ?? '').includes('/')) return { mm };
  return { mm, text: `${(found[1] ?? '').trim()} ${unit === '' ? units : unit === '"' || unit === 'inch' ? 'in' : unit}` };
}

const MM_OF: Record<string, number> = { mm: 1, cm: 10, m: 1000, in: 25.4, inch: 25.4, '"': 25.4 };

/** An expression with + - * / and brackets; null when it is not one. */
export function parseSum(text: string): number | null {
  const tokens = text.match(/\d+\.?\d*|\.\d+|[-+*/()]|\S/g) ?? [];
  let next = 0;

  function factor(): number {
    const token = tokens[next++];
    if (token === '-') return -factor();
    if (token === '+') return factor();
    if (token === '(') {
      const value = terms();
      return tokens[next++] === ')' ? value : NaN;
    }
    return token !== undefined && /^[\d.]/.test(token) ? Number(token) : NaN;
  }
  function products(): number {
    let value = factor();
    while (tokens[next] === '*' || tokens[next] === '/') {
      value = tokens[next++] === '*' ? value * factor() : value / factor();
    }
    return value;
  }
  function terms(): number {
    let value = products();
    while (tokens[next] === '+' || tokens[next] === '-') {
      value = tokens[next++] === '+' ? value + products() : value - products();
    }
    return value;
  }

  const value = terms();
  return next === tokens.length && Number.isFinite(value) ? value : null;
}

/** A number without a unit, or an expression; null when it is neither. */
export function parseFigure(text: string): number | null {
  const trimmed = withPoint(text.trim());
  return trimmed.startsWith('=') ? parseSum(trimmed.slice(1)) : (parseNumber(trimmed) ?? parseSum(trimmed));
}
