/** The open job, as context for nested components. */
import { getContext, setContext } from 'svelte';
import type { OpenJob } from './job.svelte';

const KEY = Symbol('open job');

/** Holds the open job once it is loaded. */
export interface Holder {
  open: OpenJob | null;
}

export function setOpenJob(): Holder {
  return setContext<Holder>(KEY, { open: null });
}

export function getOpenJob(): OpenJob {
  const { open } = getContext<Holder>(KEY);
  if (!open) throw new Error('a panel is shown only when the job has been read');
  return open;
}
