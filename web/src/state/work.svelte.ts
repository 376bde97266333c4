/** Long work of the server on its way: since when, and its end with the best kept. */
import * as api from '../api/calls';
import type { JobAccess } from './change';
import { notices } from './notices.svelte';

export abstract class Work {
  running = $state(false);
  stopping = $state(false);
  begun = $state(0);
  /** The name by which it is stopped, once the server has told it. */
  protected id: string | null = null;

  constructor(protected readonly open: JobAccess) {}

  protected begin(): void {
    this.running = true;
    this.stopping = false;
    this.begun = Date.now();
  }

  protected end(): void {
    this.running = false;
    this.id = null;
  }

  /** Ends it; the best so far is kept. */
  async stop(): Promise<void> {
    if (!this.id) return;
    this.stopping = true;
    try {
      await api.stopSearch(this.open.job.id, this.id);
    } catch (error) {
      notices.refused(error);
    }
  }
}
