/** A cut plan on its way: what it has come to so far, and how to end it with the best kept. */
import * as api from '../api/calls';
import { ApiError, events, type Refusal } from '../api/client';
import type { BetterPlan, Job } from '../api/types';
import { t } from '../texts/en';
import type { OpenJob } from './job.svelte';
import { notices } from './notices.svelte';

export class Cutting {
  running = $state(false);
  stopping = $state(false);
  best = $state.raw<BetterPlan | null>(null);
  begun = $state(0);
  private id: string | null = null;

  constructor(private readonly open: OpenJob) {}

  /** Plans until it is proven, given up or stopped. */
  start(): Promise<boolean> {
    return this.open.write(t.cut.planned, (id, version) => this.plan(id, version));
  }

  private async plan(job: string, version: number): Promise<Job> {
    this.running = true;
    this.stopping = false;
    this.best = null;
    this.begun = Date.now();
    try {
      for await (const { name, data } of events(await api.beginCut(job, version))) {
        if (name === 'begun') this.id = (data as { search: string }).search;
        if (name === 'better') this.best = data as unknown as BetterPlan;
        if (name === 'failed') throw new ApiError(500, (data as unknown as { error: Refusal }).error);
        if (name === 'done') return (data as unknown as { job: Job }).job;
      }
      throw new ApiError(0, { code: 'unreachable', message: t.unreachable });
    } finally {
      this.running = false;
      this.id = null;
    }
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
