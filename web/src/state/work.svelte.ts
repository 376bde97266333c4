/** Long-running work of the server: its start, and stopping it with the best result kept. */
import * as api from '../api/calls';
import type { PaceView } from '../api/schema';
import type { JobAccess } from './change';
import { notices } from './notices.svelte';

export abstract class Work {
  running = $state(false);
  stopping = $state(false);
  begun = $state(0);
  /** Share that is done, once the server can count it. */
  share = $state<number | null>(null);
  /** Seconds left, about, from the pace so far. */
  left = $state<number | null>(null);
  private first: { share: number; at: number } | null = null;
  /** Name to stop it by, once the server has sent it. */
  protected id: string | null = null;

  constructor(protected readonly open: JobAccess) {}

  protected begin(): void {
    this.running = true;
    this.stopping = false;
    this.begun = Date.now();
    this.share = this.left = this.first = null;
  }

  protected count({ share }: PaceView): void {
    const now = Date.now();
    this.first ??= { share, at: now };
    this.share = Math.max(share, this.share ?? 0);
    const gained = this.share - this.first.share;
    this.left = gained > 0 ? ((1 - this.share) * (now - this.first.at)) / gained / 1000 : null;
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
