/** Trial edits while a handle is dragged: one request at a time, the newest edit next, nothing saved. */
import * as api from '../api/calls';
import type { RoutesView, RunEdit } from '../api/schema';
import type { JobAccess } from './change';
import { notices } from './notices.svelte';

export class Trial {
  /** Routes of the last trial; null when there is none. */
  routes = $state.raw<RoutesView | null>(null);
  /** Why the last edit gives no valid tube. */
  refusal = $state<string | null>(null);
  private pending: Promise<void> | null = null;
  private next: RunEdit | null = null;
  /** The edit whose routes are shown. */
  private tried: RunEdit | null = null;

  constructor(private readonly open: JobAccess) {}

  /** Tries an edit of the saved routes; replaces one that is still waiting. */
  request(edit: RunEdit): void {
    this.next = edit;
    this.pending ??= this.run();
  }

  private async run(): Promise<void> {
    while (this.next) {
      const edit = this.next;
      this.next = null;
      try {
        const { routes, refusal } = await api.trial(this.open.job.id, edit);
        this.refusal = refusal ?? null;
        if (routes) {
          this.routes = routes;
          this.tried = edit;
        }
      } catch (error) {
        this.refusal = error instanceof Error ? error.message : String(error);
      }
    }
    this.pending = null;
  }

  /** Saves the last trial. */
  async save(label: string): Promise<void> {
    await this.pending;
    if (this.refusal) notices.refused(new Error(this.refusal));
    const edit = this.tried;
    if (edit) await this.open.write(label, (id, version) => api.putRunEdit(id, version, label, edit));
    this.clear();
  }

  clear(): void {
    this.next = null;
    this.tried = null;
    this.routes = null;
    this.refusal = null;
  }
}
