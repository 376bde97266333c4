/** Edits that are tried while a handle is dragged: one question in flight, the newest one next, nothing kept. */
import * as api from '../api/calls';
import type { RoutesView, RunEdit } from '../api/schema';
import type { JobAccess } from './change';
import { notices } from './notices.svelte';

export class Trial {
  /** What came out of the last edit tried; null when nothing is tried. */
  routes = $state.raw<RoutesView | null>(null);
  /** Why the newest place gives no tube. */
  refusal = $state<string | null>(null);
  private flight: Promise<void> | null = null;
  private next: RunEdit | null = null;
  /** The edit that gave what is shown. */
  private tried: RunEdit | null = null;

  constructor(private readonly open: JobAccess) {}

  /** Tries an edit of the kept routes; replaces one that still waits. */
  ask(edit: RunEdit): void {
    this.next = edit;
    this.flight ??= this.fly();
  }

  private async fly(): Promise<void> {
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
    this.flight = null;
  }

  /** Keeps what was tried last. */
  async keep(label: string): Promise<void> {
    await this.flight;
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
