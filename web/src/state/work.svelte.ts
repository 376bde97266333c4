/** Long-running work of the server: its start, and stopping it with the best result kept. */
import * as api from '../api/calls';
import type { JobAccess } from './change';
import { notices } from './notices.svelte';

export abstract class Work {
  running = $state(false);
  stopping = $state(false);
  begun = $state(0);
  /** Name to stop it by, once the server has sent it. */
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

  /** Stops it; the best result so far is kept. */
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
