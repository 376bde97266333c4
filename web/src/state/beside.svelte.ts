/** Documents beside job.toml that are edited in forms. */
import * as api from '../api/calls';
import type { DocumentView, Edit, ProblemView, UnitsCode } from '../api/schema';
import type { Json } from '../api/types';
import { valueAt } from './document';
import type { Editable } from './editable';
import type { EditedJob } from './change';
import { notices } from './notices.svelte';

/** A document that is edited by place; how it is read differs. */
export abstract class Beside implements Editable {
  pending = $state.raw<Edit[]>([]);

  constructor(
    protected readonly open: EditedJob,
    private readonly name: string,
  ) {}

  abstract readonly document: Json;
  abstract readonly units: UnitsCode;
  abstract readonly problems: ProblemView[];

  async edit(label: string, edits: Edit[]): Promise<boolean> {
    this.pending = [...this.pending, ...edits];
    try {
      return await this.open.write(label, (id, version) => api.editDocument(id, this.name, version, label, edits));
    } finally {
      this.pending = this.pending.filter((e) => !edits.includes(e));
    }
  }
}

const FLANGE_FILE = 'flange.toml';

/** flange.toml: the flanges of the ports as they are cut from plate. */
export class Flanges extends Beside {
  private view = $state.raw<DocumentView | null>(null);
  private turn = 0;

  constructor(open: EditedJob) {
    super(open, FLANGE_FILE);
  }

  get document(): Json {
    return (this.view?.tree ?? null) as Json;
  }

  get units(): UnitsCode {
    const own = valueAt(this.document, ['units']);
    return own === 'mm' || own === 'in' ? own : this.open.units;
  }

  get problems(): ProblemView[] {
    return this.view?.problems ?? [];
  }

  /** Removes the document: every port has a flange of its own again. */
  drop(label: string): Promise<boolean> {
    return this.open.write(label, (id, version) => api.putDocument(id, FLANGE_FILE, version, null, label));
  }

  /** Reads it again; a job need not have one. Of several answers on their way only the last counts. */
  async load(): Promise<void> {
    const turn = ++this.turn;
    try {
      const { id, documents } = this.open.job;
      const view = documents.includes(FLANGE_FILE) ? await api.getDocument(id, FLANGE_FILE) : null;
      if (turn === this.turn) this.view = view;
    } catch (error) {
      notices.refused(error);
    }
  }
}
