/** A running search for routes: the best result so far, and stopping with it. */
import * as api from '../api/calls';
import { ApiError, events } from '../api/client';
import type { Better, CurrentView, ErrorBody, PaceView, RoutesView, SearchDone, Started } from '../api/schema';
import type { SearchSettings } from '../api/types';
import { t } from '../texts/en';
import { changedRuns, type Change } from './change';
import { notices } from './notices.svelte';
import { Work } from './work.svelte';

export class Search extends Work {
  best = $state.raw<Better | null>(null);
  found = $state(0);
  private abort: AbortController | null = null;

  /** Searches until it is done, stopped or cancelled. */
  async start(settings: SearchSettings): Promise<void> {
    if (this.running) return;
    this.begin();
    this.best = null;
    this.found = 0;
    this.abort = new AbortController();
    try {
      const { id, version } = this.open.job;
      const answer = await api.startSearch(id, { version, ...settings }, this.abort.signal);
      for await (const event of events(answer)) this.hear(event.name, event.data);
    } catch (error) {
      await this.refused(error, settings);
    } finally {
      this.end();
      this.best = null;
    }
  }

  private hear(name: string, data: unknown): void {
    if (name === 'begun') this.id = (data as Started).search;
    if (name === 'pace') this.count(data as PaceView);
    if (name === 'better') {
      this.best = data as Better;
      this.found += 1;
    }
    if (name === 'failed') notices.refused(new ApiError(500, (data as ErrorBody).error));
    if (name === 'done') {
      const done = data as SearchDone;
      this.best = null;
      if (done.job) this.open.adopt(done.job);
      this.open.alternatives = done.alternatives;
      this.open.relaxations = done.relaxations;
      this.open.showAttempt = !done.met && !!done.job?.attempt;
      this.open.undrawn = done.met || done.job ? [] : done.unmet;
      if (!done.job && done.routes && done.met) this.conflict(done.conflict, done.routes);
      else if (!done.job && done.routes) notices.refused(new Error(t.route.changedMeanwhile));
    }
  }

  /** Someone changed the job during the search: its result is my change. */
  private conflict(theirs: CurrentView | null | undefined, routes: RoutesView): void {
    const again: Change = (id, version) => api.putRoutes(id, version, t.route.searched, changedRuns(routes));
    this.open.conflict = { when: theirs?.made ?? null, label: theirs?.label ?? null, mine: t.route.searched, again };
  }

  private async refused(error: unknown, settings: SearchSettings): Promise<void> {
    if (error instanceof ApiError && error.refusal.code === 'conflict') {
      this.open.conflict = {
        when: error.refusal.current?.made ?? null, label: error.refusal.current?.label ?? null, mine: t.route.searched,
        again: async (id) => {
          setTimeout(() => void this.start(settings));
          return api.getJob(id);
        },
      };
    } else notices.refused(error);
  }

  /** Stops it; cancels it when it has not started yet. */
  override async stop(): Promise<void> {
    if (!this.id) return this.abort?.abort();
    await super.stop();
  }

  /** Cancels it when the page closes: the server notices and stops. */
  leave(): void {
    this.abort?.abort();
  }
}
