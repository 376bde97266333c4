/** Ticks of the saw view: stored on the server, and in this browser until the server has them. */
import * as api from '../api/calls';
import { ApiError } from '../api/client';

/** Ticks of one plan, as stored in this browser. */
interface Held {
  plan: string;
  done: string[];
  sent: boolean;
}

const keyOf = (job: string) => `tubewright.saw.${job}`;

/** Ticks stored here for a job and plan; null when there are none for this plan. */
export function held(job: string, plan: string): Held | null {
  try {
    const found = JSON.parse(localStorage.getItem(keyOf(job)) ?? 'null') as Held | null;
    return found?.plan === plan ? found : null;
  } catch {
    return null;
  }
}

function hold(job: string, ticks: Held): void {
  try {
    localStorage.setItem(keyOf(job), JSON.stringify(ticks));
  } catch {
    // Nothing can be stored here; the server still has them.
  }
}

/** The initial ticks: unsent ones override those of the server. Sends them when possible. */
export async function begin(job: string, plan: string): Promise<string[]> {
  const here = held(job, plan);
  if (here && !here.sent) {
    await keep(job, plan, here.done);
    return here.done;
  }
  try {
    const ticks = await api.getSaw(job);
    const done = ticks.plan === plan ? ticks.done : [];
    hold(job, { plan, done, sent: true });
    return done;
  } catch (error) {
    if (here) return here.done;
    throw error;
  }
}

/** Stores ticks here at once, then on the server. True when the server has them. */
export async function keep(job: string, plan: string, done: string[]): Promise<boolean> {
  hold(job, { plan, done, sent: false });
  try {
    await api.putSaw(job, { plan, done });
  } catch (error) {
    if (error instanceof ApiError && error.status !== 0) throw error;
    return false;
  }
  const now = held(job, plan);
  if (now && now.done.join() === done.join()) hold(job, { plan, done, sent: true });
  return true;
}
