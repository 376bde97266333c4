/** Ticks of the saw-side page: kept on the server, and here until the server has them. */
import * as api from '../api/calls';
import { ApiError } from '../api/client';

/** Ticks as this browser holds them for one plan. */
interface Held {
  plan: string;
  done: string[];
  sent: boolean;
}

const keyOf = (job: string) => `tubewright.saw.${job}`;

/** What is held here for a job and plan; null when nothing is, or it belongs to another plan. */
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
    // Nothing can be held here; the server still has them.
  }
}

/** The ticks to begin with: those not sent yet win over the server's. Sends them when they can be sent. */
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

/** Keeps ticks here at once and on the server when it answers. True when the server has them. */
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
