/** Running cut planning: the best plan so far, and stopping with it. */
import * as api from '../api/calls';
import { ApiError, events } from '../api/client';
import type { BetterPlan, CutDone, ErrorBody, JobView, PaceView, Started } from '../api/schema';
import { t } from '../texts/en';
import { Work } from './work.svelte';

export class Cutting extends Work {
  best = $state.raw<BetterPlan | null>(null);

  /** Plans until the plan is proven cheapest, the steps are used up, or it is stopped. */
  start(): Promise<boolean> {
    return this.open.write(t.cut.planned, (id, version) => this.plan(id, version));
  }

  private async plan(job: string, version: number): Promise<JobView> {
    this.begin();
    this.best = null;
    try {
      for await (const { name, data } of events(await api.startCut(job, version))) {
        if (name === 'begun') this.id = (data as Started).search;
        if (name === 'pace') this.count(data as PaceView);
        if (name === 'better') this.best = data as BetterPlan;
        if (name === 'failed') throw new ApiError(500, (data as ErrorBody).error);
        if (name === 'done') return (data as CutDone).job;
      }
      throw new ApiError(0, { code: 'unreachable', message: t.unreachable });
    } finally {
      this.end();
    }
  }
}
