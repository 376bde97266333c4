/** Applies a change that a search has tested: as edits of job.toml, or by unlocking a run. */
import type { Edit, RelaxationView } from '../api/schema';
import { fromMm } from '../format/length';
import { lengthOf, rowsOf } from './document';
import type { OpenJob } from './job.svelte';

/** Edits that make the change; null when it is not one of single values. */
function editsOf(open: OpenJob, fix: RelaxationView): Edit[] | null {
  const m = fix.measures as Record<string, number | string>;
  const inJob = (mm: unknown) => Number(fromMm(Number(mm), open.units).toFixed(4));
  const set = (path: Edit['path'], mm: unknown): Edit => ({ op: 'set', path, value: inJob(mm) });
  const index = (table: string, name: unknown) => rowsOf(open.document, [table]).findIndex((row) => row.name === name);
  const stubs = (table: string, change: (mm: number) => number) =>
    rowsOf(open.document, [table]).map((row, i) => set([table, i, 'stub'], change(lengthOf(row.stub, open.units))));
  switch (fix.code) {
    case 'change_target':
      return [set(['length', 'target'], m.to_mm)];
    case 'widen_tolerance':
      return [set(['length', 'tolerance'], m.to_mm)];
    case 'reduce_tube_clearance':
      return [set(['clearance', 'tubes'], m.to_mm)];
    case 'reduce_clearance': {
      const i = index('keepout', m.keepout);
      return i < 0 ? null : [set(['keepout', i, 'clearance'], m.to_mm)];
    }
    case 'free_collector': {
      const i = index('collector', m.collector);
      const travel = inJob(m.travel_mm);
      return i < 0 ? null : [{ op: 'set', path: ['collector', i, 'may_move'], value: { along: travel, aside: travel, roll: 'any' } }];
    }
    case 'lengthen_port_stubs':
      return stubs('port', (mm) => mm + Number(m.by_mm));
    case 'halve_stubs':
      return [...stubs('port', (mm) => mm / 2), ...stubs('collector', (mm) => mm / 2)];
    case 'add_tighter_bend': {
      const bends = rowsOf(open.document, ['stock', 'bend']).filter((b) => b.clr !== undefined);
      const like = bends.sort((a, b) => lengthOf(a.clr, open.units) - lengthOf(b.clr, open.units))[0];
      const at = rowsOf(open.document, ['stock', 'bend']).length;
      return like ? [{ op: 'insert', path: ['stock', 'bend', at], value: { ...like, clr: inJob(m.clr_mm) } }] : null;
    }
    default:
      return null;
  }
}

/** Whether the page can make the change by itself. */
export function canApply(open: OpenJob, fix: RelaxationView): boolean {
  return fix.code === 'unlock' ? !!open.job.routes : editsOf(open, fix) !== null;
}

/** Makes the change. True when it was saved. */
export async function applyFix(open: OpenJob, fix: RelaxationView, label: string): Promise<boolean> {
  if (fix.code === 'unlock') return open.lock(String(fix.measures.run), false, label);
  const edits = editsOf(open, fix);
  return edits ? open.edit(label, edits) : false;
}
