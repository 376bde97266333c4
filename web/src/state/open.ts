/** The open job, for the small fields deep inside the panels. */
import { getContext, setContext } from 'svelte';
import type { OpenJob } from './job.svelte';

const KEY = Symbol('open job');

/** Holds the open job once it has been read. */
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
