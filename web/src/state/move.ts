/** Turns dragging a measured thing into edits of job.toml. */
import type { Edit, Xyz } from '../api/schema';
import type { Json } from '../api/types';
import { fromMm } from '../format/length';
import { t } from '../texts/en';
import type { Movable } from '../view3d/surroundings';
import { lengthOf, rowsOf } from './document';
import type { OpenJob } from './job.svelte';

/** Keys of a table that are points. */
const PLACES = ['at', 'center', 'from', 'to'];

/** Moves a thing by a vector, mm; a port moves its bolts too. */
export function moveThing(open: OpenJob, thing: Movable, by: Xyz): Promise<boolean> {
  const table = thing.kind;
  const entry = rowsOf(open.document, [table])[thing.index];
  if (!entry) return Promise.resolve(false);
  const edits: Edit[] = [];
  const shift = (holder: Record<string, Json>, path: (string | number)[]) => {
    for (const key of PLACES) {
      const place = holder[key];
      if (!Array.isArray(place)) continue;
      const value = place.map((v, i) => rounded(fromMm(lengthOf(v, open.units) + (by[i] ?? 0), open.units)));
      edits.push({ op: 'set', path: [...path, key], value });
    }
  };
  shift(entry, [table, thing.index]);
  const bolts = entry.bolt;
  if (Array.isArray(bolts)) bolts.forEach((bolt, i) => shift(bolt as Record<string, Json>, [table, thing.index, 'bolt', i]));
  return open.edit(t.measure.moved(t.measure.kinds[thing.kind] ?? thing.kind, thing.index + 1), edits);
}

function rounded(value: number): number {
  return Number(value.toFixed(3));
}
