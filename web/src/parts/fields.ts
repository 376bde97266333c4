/** What a form needs to know of a value of job.toml. */
import type { Path } from '../api/types';

/** `order` is a list written with dashes, as a firing order is. */
export type FieldKind = 'length' | 'number' | 'text' | 'choice' | 'yes' | 'list' | 'order';

/** One row of a form. Without `unset` the value is required. */
export interface Row {
  path: Path;
  label: string;
  kind: FieldKind;
  choices?: { value: string; text: string }[];
  unset?: string;
}

/** Rows of one table: `of('od', 'OD', 'length')`. */
export function rowsAt(table: Path, unset?: string) {
  return (key: string, label: string, kind: FieldKind = 'length', choices?: Row['choices'], of = unset): Row => ({ path: [...table, ...key.split('.')], label, kind, choices, unset: of });
}
