/** Values of job.toml by path, with lengths in any notation. */
import type { UnitsCode } from '../api/schema';
import type { Json, Path } from '../api/types';
import { toMm } from '../format/length';
import { parseLength } from '../format/parse';

/** The value at a path; undefined when there is none. */
export function valueAt(document: Json | null | undefined, path: Path): Json | undefined {
  let value: Json | undefined = document ?? undefined;
  for (const step of path) {
    if (value === null || typeof value !== 'object') return undefined;
    value = (value as Record<string | number, Json>)[step];
  }
  return value;
}

/** A length of the document in mm: a bare number in the job's unit, or a text with its own. NaN when it is neither. */
export function lengthOf(value: Json | undefined, units: UnitsCode): number {
  if (typeof value === 'number') return toMm(value, units);
  if (typeof value === 'string') return parseLength(value, units)?.mm ?? NaN;
  return NaN;
}

/** The rows of an array of tables. */
export function rowsOf(document: Json | null | undefined, path: Path): Record<string, Json>[] {
  const value = valueAt(document, path);
  return Array.isArray(value) ? (value as Record<string, Json>[]) : [];
}
