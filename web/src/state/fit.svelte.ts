/** The build of the open job: fit.toml and what it comes to. */
import * as api from '../api/calls';
import type { Edit, FitView, PoolLine, PoolView } from '../api/schema';
import type { Json, Path } from '../api/types';
import { Asked } from './asked.svelte';
import { rowsOf } from './document';
import type { EditedJob } from './change';

export const FIT_FILE = 'fit.toml';

export type Table = 'piece' | 'measured' | 'strip' | 'chord' | 'corrected';

export class Fit {
  readonly asked = new Asked<FitView>();
  readonly pooled = new Asked<PoolView>();

  constructor(private readonly open: EditedJob) {}

  get view(): FitView | null {
    return this.asked.value;
  }

  get document(): Json {
    return (this.view?.document ?? null) as Json;
  }

  load(): Promise<void> {
    return this.asked.ask(() => api.getFit(this.open.job.id));
  }

  /** The rows of a table of fit.toml. */
  rows(table: Table): Record<string, Json>[] {
    return rowsOf(this.document, [table]);
  }

  /** Adds a row; the first one ties the record to the plan whose sheets are being followed. */
  add(label: string, table: Table, row: Record<string, Json>): Promise<boolean> {
    return this.edit(label, [{ op: 'insert', path: [table, this.rows(table).length], value: row }]);
  }

  setState(label: string, mark: string, state: string): Promise<boolean> {
    const index = this.rows('piece').findIndex((row) => row.mark === mark);
    const path: Path = index < 0 ? ['piece', this.rows('piece').length] : ['piece', index, 'state'];
    return this.edit(label, [index < 0 ? { op: 'insert', path, value: { mark, state } } : { op: 'set', path, value: state }]);
  }

  remove(label: string, table: Table, index: number): Promise<boolean> {
    return this.edit(label, [{ op: 'remove', path: [table, index] }]);
  }

  /** Asks what all measured builds say of the shop's errors. */
  pool(): Promise<void> {
    return this.pooled.ask(() => api.pooledFits(this.open.job.id));
  }

  /** Takes the shop's own errors into this build; those of one kind of bend have no key there. */
  useShop(label: string, lines: PoolLine[]): Promise<boolean> {
    const ours = lines.filter((line) => line.item === null || line.item === undefined);
    return this.edit(label, ours.map((line) => ({ op: 'set', path: ['shop', line.key], value: line.sd })));
  }

  accept(label: string): Promise<boolean> {
    return this.open.write(label, (id, version) => api.acceptFit(id, version));
  }

  private edit(label: string, edits: Edit[]): Promise<boolean> {
    const tied: Edit[] = this.document === null && this.view ? [{ op: 'set', path: ['plan'], value: this.view.data }, ...edits] : edits;
    return this.open.write(label, (id, version) => api.editDocument(id, FIT_FILE, version, label, tied));
  }
}
