/** Changes of an open job: how they are sent, and what happens when someone else was first. */
import type { AlternativeView, ChangedRun, JobView, RelaxationView, RoutesView, UnmetView } from '../api/schema';
import type { Editable } from './editable';

/** A request that changes the job, made with the version that is current when its turn comes. */
export type Change = (id: string, version: number) => Promise<JobView>;

/** A change that came too late: someone else had changed the job. */
export interface Conflict {
  /** When the other change was made, ms since 1970; null when it is not known. */
  when: number | null;
  label: string | null;
  mine: string;
  again: Change;
}

/** The open job as its long-running work sees it. */
export interface JobAccess {
  readonly job: JobView;
  conflict: Conflict | null;
  alternatives: AlternativeView[];
  relaxations: RelaxationView[];
  undrawn: UnmetView[];
  showAttempt: boolean;
  /** Takes over the job that the server sent. */
  adopt(job: JobView): void;
  /** Makes a change when those before it are done. True when it was saved. */
  write(label: string, change: Change): Promise<boolean>;
}

/** The open job as the parts of its state see it: what they show, and how they change it. */
export type EditedJob = JobAccess & Editable;

/** Routes in the form in which they are sent. */
export function changedRuns(routes: RoutesView | null | undefined): ChangedRun[] {
  return (routes?.runs ?? []).map(({ run, points, radii, locked }) => ({ run, points, radii, locked }));
}
