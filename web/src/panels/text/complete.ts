/** Completion of job.toml and stock.toml from the schema of the job file: tables, keys and the words a key allows. */
import type { Completion, CompletionContext, CompletionResult } from '@codemirror/autocomplete';

/** The part of a JSON schema that completion reads. */
export interface Schema {
  type?: string;
  description?: string;
  properties?: Record<string, Schema>;
  items?: Schema;
  enum?: unknown[];
  anyOf?: Schema[];
  oneOf?: Schema[];
}

/** The schema of an array's rows, or of the thing itself. */
function rowOf(schema: Schema | undefined): Schema | undefined {
  if (!schema) return undefined;
  const other = [...(schema.anyOf ?? []), ...(schema.oneOf ?? [])].find((s) => s.properties ?? s.items);
  const found = schema.properties || schema.items ? schema : (other ?? schema);
  return found.items?.properties ? found.items : found;
}

/** The schema of a table by its header: `port.bolt`. */
export function tableAt(root: Schema, header: string): Schema | undefined {
  const steps = header === '' ? [] : header.split('.').map((step) => step.trim());
  return steps.reduce<Schema | undefined>((at, step) => rowOf(at?.properties?.[step]), root);
}

/** The header that a line stands under, and the keys given there so far. */
export function surroundings(lines: readonly string[]): { header: string; given: string[] } {
  let header = '';
  let given: string[] = [];
  for (const line of lines) {
    const table = /^\s*\[\[?\s*([^\][]+?)\s*\]\]?/.exec(line);
    const key = /^\s*([\w-]+)\s*=/.exec(line);
    if (table) [header, given] = [table[1]!, []];
    else if (key) given.push(key[1]!);
  }
  return { header, given };
}

const words = (text: string | undefined) => (text ?? '').split(' Expected: ');

/** Every table of the schema, by its header as it is written. */
export function headers(root: Schema): Completion[] {
  const found: Completion[] = [];
  const walk = (schema: Schema, path: string[], depth: number) => {
    for (const [name, child] of Object.entries(schema.properties ?? {})) {
      const row = rowOf(child);
      if (!row?.properties || depth > 2) continue;
      const many = child.type === 'array' || child.items !== undefined || (child.anyOf ?? []).some((s) => s.items);
      const full = [...path, name].join('.');
      found.push({ label: many ? `[[${full}]]` : `[${full}]`, type: 'namespace', info: words(child.description)[0] });
      walk(row, [...path, name], depth + 1);
    }
  };
  walk(root, [], 0);
  return found;
}

/** What may stand after `key =`. */
function values(schema: Schema | undefined): Completion[] {
  const all = [schema, ...(schema?.anyOf ?? []), ...(schema?.oneOf ?? [])];
  const allowed = all.flatMap((s) => s?.enum ?? []);
  const flags = all.some((s) => s?.type === 'boolean') ? [true, false] : [];
  return [...allowed, ...flags].map((v) => ({ label: JSON.stringify(v), type: 'constant' }));
}

/** Completion for an editor. */
export function completeFrom(root: Schema) {
  return (context: CompletionContext): CompletionResult | null => {
    const line = context.state.doc.lineAt(context.pos);
    const before = line.text.slice(0, context.pos - line.from);
    const { header, given } = surroundings(context.state.doc.sliceString(0, line.from).split('\n'));
    const table = tableAt(root, header);
    const bracket = /^\s*(\[\[?[\w.]*)$/.exec(before);
    if (bracket) return { from: context.pos - bracket[1]!.length, options: headers(root), validFor: /^\[\[?[\w.]*$/ };
    const value = /^\s*([\w-]+)\s*=\s*("?[\w ]*)$/.exec(before);
    if (value) {
      const options = values(table?.properties?.[value[1]!]);
      return options.length > 0 ? { from: context.pos - value[2]!.length, options, validFor: /^"?[\w ]*$/ } : null;
    }
    const key = /^\s*([\w-]*)$/.exec(before);
    if (!key || !table?.properties || (key[1] === '' && !context.explicit)) return null;
    const options = Object.entries(table.properties)
      .filter(([name, child]) => !given.includes(name) && !rowOf(child)?.properties)
      .map(([name, child]): Completion => ({ label: name, apply: `${name} = `, type: 'property', info: words(child.description).join('\n') }));
    return { from: context.pos - key[1]!.length, options, validFor: /^[\w-]*$/ };
  };
}
