/** An answer that the server works out from the job as it is. */
import { ApiError, type Refusal } from '../api/client';
import { notices } from './notices.svelte';

export class Asked<T> {
  /** The last answer; of an earlier state while `waiting`. */
  value = $state.raw<T | null>(null);
  /** Why there is none. */
  refusal = $state.raw<Refusal | null>(null);
  waiting = $state(false);
  private turn = 0;

  /** Asks again; of several on their way only the last counts. */
  async ask(call: () => Promise<T>): Promise<void> {
    const turn = ++this.turn;
    this.waiting = true;
    try {
      const value = await call();
      if (turn !== this.turn) return;
      this.value = value;
      this.refusal = null;
    } catch (error) {
      if (turn !== this.turn) return;
      this.value = null;
      this.refusal = error instanceof ApiError ? error.refusal : null;
      if (!(error instanceof ApiError)) notices.refused(error);
    } finally {
      if (turn === this.turn) this.waiting = false;
    }
  }
}
