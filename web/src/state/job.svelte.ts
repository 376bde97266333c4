/** The open job: its last state from the server, the trial in progress, and the selection. */
import { ApiError } from '../api/client';
import * as api from '../api/calls';
import type {
  AlternativeView, BayView, ChangedRun, Edit, JobView, LineView, PlanView, ProblemView, QuoteSummary, QuoteView, RelaxationView, RoutesView, RunEdit, RunView, UnitsCode, UnmetView, Xyz,
} from '../api/schema';
import type { Json } from '../api/types';
import type { Spot } from '../view3d/runs';
import type { Movable } from '../view3d/surroundings';
import { t } from '../texts/en';
import { changedRuns, type Change, type Conflict, type JobAccess } from './change';
import { notices } from './notices.svelte';
import { Search } from './search.svelte';
import { Cutting } from './cutting.svelte';
import { Fit } from './fit.svelte';
import { Flanges } from './beside.svelte';
import { PartDrag } from './parts.svelte';
import { Survey } from './survey.svelte';
import { Trial } from './trial.svelte';
import type { Editable } from './editable';

/** Other routes to overlay, with their name. */
export interface Overlay {
  name: string;
  runs: { run: string; number: number; od: number; line: LineView }[];
}

export class OpenJob implements JobAccess, Editable {
  job = $state.raw<JobView>() as JobView;
  spot = $state.raw<Spot | null>(null);
  chosen = $state<string | null>(null);
  chosenPoint = $state<number | null>(null);
  piece = $state<string | null>(null);
  keepout = $state<string | null>(null);
  conflict = $state.raw<Conflict | null>(null);
  alternatives = $state.raw<AlternativeView[]>([]);
  /** Changes that the last search tested; only of the job as it is now. */
  relaxations = $state.raw<RelaxationView[]>([]);
  /** What the last search missed when nothing could be drawn. */
  undrawn = $state.raw<UnmetView[]>([]);
  /** Whether the closest attempt is shown instead of the saved routes. */
  showAttempt = $state(false);
  /** The measured thing that is selected: only that one can be moved in the 3D view. */
  thing = $state.raw<Movable | null>(null);
  /** The last figures of a state that held together, to be shown greyed when the job has moved on. */
  last = $state.raw<{ routes: RoutesView | null; plan: PlanView | null; summary: QuoteSummary | null; quote: QuoteView | null }>({ routes: null, plan: null, summary: null, quote: null });
  /** The document shown as text instead of the forms, and a line in it; null for the forms. */
  text = $state.raw<{ file: string; line: number } | null>(null);
  /** Edits that the server has not confirmed yet. */
  pending = $state.raw<Edit[]>([]);
  /** Overlaid routes; null for none. */
  overlay = $state.raw<Overlay | null>(null);
  /** Points picked on a scan so far, and what to do with them; null when not picking. */
  picking = $state.raw<{ keepout: number; places: Xyz[]; wanted: number; done: (places: Xyz[]) => void } | null>(null);
  saving = $state(0);
  readonly search: Search;
  readonly trial: Trial;
  readonly cutting: Cutting;
  readonly survey: Survey;
  readonly flanges: Flanges;
  readonly fit: Fit;
  readonly parts: PartDrag;
  /** A place of a tube that was pressed where parts can be put on, and where on the screen; null for none. */
  pressed = $state.raw<{ spot: Spot; x: number; y: number } | null>(null);
  private queue: Promise<unknown> = Promise.resolve();

  constructor(job: JobView) {
    this.job = job;
    this.showAttempt = !job.routes && !!job.attempt;
    if (job.document === null) this.text = { file: 'job.toml', line: 0 };
    this.remember();
    this.search = new Search(this);
    this.trial = new Trial(this);
    this.cutting = new Cutting(this);
    this.survey = new Survey(this);
    this.flanges = new Flanges(this);
    this.fit = new Fit(this);
    this.parts = new PartDrag(this);
  }

  /** The unit of the job's own lengths. */
  get units(): UnitsCode {
    return this.job.units;
  }

  /** job.toml as a tree; null when it is not TOML. */
  get document(): Json {
    return (this.job.document ?? null) as Json;
  }

  /** Problems of all documents. */
  get problems(): ProblemView[] {
    return this.job.problems;
  }

  /** Ports, collectors and obstacles as measured; null while they cannot be read. */
  get bay(): BayView | null {
    return this.job.bay ?? null;
  }

  /** Routes to show: of the trial, else the best of a running search, else the closest attempt when it is chosen, else the saved ones. */
  get routes(): RoutesView | null {
    return this.trial.routes ?? this.search.best?.routes ?? (this.attemptShown ? this.job.attempt : this.job.routes) ?? null;
  }

  /** Whether the job has errors, so that it can neither be judged nor routed. */
  get broken(): boolean {
    return this.job.problems.some((p) => p.severity === 'error');
  }

  /** Routes to draw: those to show, or the last good ones while the job has errors. */
  get drawn(): RoutesView | null {
    return this.routes ?? (this.broken ? this.last.routes : null);
  }

  /** Whether the closest attempt is what is shown. */
  get attemptShown(): boolean {
    return this.showAttempt && !!this.job.attempt;
  }

  /** Whether the cut plan is one of the present routes and stock. */
  get planFresh(): boolean {
    return !!this.job.plan && !this.job.plan_stale;
  }

  get chosenRun(): RunView | null {
    return this.routes?.runs.find((r) => r.run === this.chosen) ?? null;
  }

  /** Takes over the job that the server sent. */
  adopt(job: JobView): void {
    const moved = job.version !== this.job.version;
    this.job = job;
    this.trial.clear();
    // What was tested on another state is no advice for this one.
    if (moved) {
      this.relaxations = [];
      this.undrawn = [];
    }
    if (!job.attempt) this.showAttempt = false;
    else if (!job.routes) this.showAttempt = true;
    this.remember();
    const run = this.chosenRun;
    if (!run) this.chosen = null;
    if (!run || (this.chosenPoint ?? 0) > run.points.length - 2) this.chosenPoint = null;
  }

  private remember(): void {
    if (this.job.routes) this.last = { ...this.last, routes: this.job.routes };
    if (!this.planFresh) return;
    this.last = { ...this.last, plan: this.job.plan ?? null, summary: this.job.quote ?? this.last.summary };
  }

  /** Loads changes made elsewhere, unless a change of our own is in progress. */
  async refresh(): Promise<void> {
    const busy = () => this.saving > 0 || this.search.running || this.conflict !== null;
    if (busy()) return;
    let now: JobView;
    try {
      now = await api.getJob(this.job.id);
    } catch {
      return; // The next change says what is wrong.
    }
    if (busy() || now.version <= this.job.version) return;
    this.adopt(now);
    notices.done(t.changedElsewhere(now.undo_label ?? ''));
  }

  /** Makes a change when those before it are done. True when it was saved. */
  async write(label: string, change: Change): Promise<boolean> {
    this.saving += 1;
    const turn = this.queue.then(() => this.attempt(label, change));
    this.queue = turn;
    try {
      return await turn;
    } finally {
      this.saving -= 1;
    }
  }

  private async attempt(label: string, change: Change): Promise<boolean> {
    try {
      this.adopt(await this.untilReached(label, change));
      return true;
    } catch (error) {
      this.trial.clear();
      if (error instanceof ApiError && error.refusal.code === 'conflict') {
        const theirs = error.refusal.current;
        this.conflict = { when: theirs?.made ?? null, label: theirs?.label ?? null, mine: label, again: change };
      } else {
        notices.refused(error);
      }
      return false;
    }
  }

  /** Sends a change, again and again while the server cannot be reached: what was typed is not lost. */
  private async untilReached(label: string, change: Change): Promise<JobView> {
    for (let tries = 0; ; tries++) {
      try {
        const job = await change(this.job.id, this.job.version);
        notices.reached();
        return job;
      } catch (error) {
        if (!(error instanceof ApiError)) throw error;
        if (error.refusal.code === 'conflict' && tries > 0 && error.refusal.current?.label === label) {
          // It had arrived; only the answer was lost.
          notices.reached();
          return api.getJob(this.job.id);
        }
        if (error.refusal.code !== 'unreachable') {
          if (tries > 0) notices.reached();
          throw error;
        }
        notices.waiting(t.resending);
        await pause(Math.min(500 * 2 ** tries, LONGEST_PAUSE_MS));
      }
    }
  }

  /** Adds a picked point of a scan. */
  pick(place: Xyz): void {
    const picking = this.picking;
    if (!picking) return;
    const places = [...picking.places, place];
    this.picking = places.length < picking.wanted ? { ...picking, places } : null;
    if (!this.picking) picking.done(places);
  }

  /** Edits job.toml; until the server has confirmed it, fields show what was typed. */
  async edit(label: string, edits: Edit[]): Promise<boolean> {
    this.pending = [...this.pending, ...edits];
    try {
      return await this.write(label, (id, version) => api.editJob(id, version, label, edits));
    } finally {
      this.pending = this.pending.filter((e) => !edits.includes(e));
    }
  }

  /** Takes back the last change, once those on their way are saved; nothing when there is none. */
  undo(): Promise<boolean> {
    return this.write('undo', (id, version) => (this.job.can_undo ? api.undo(id, version) : Promise.resolve(this.job)));
  }

  /** Makes the change again that was undone last; nothing when there is none. */
  redo(): Promise<boolean> {
    return this.write('redo', (id, version) => (this.job.can_redo ? api.redo(id, version) : Promise.resolve(this.job)));
  }

  /** Saves these runs as the routes. */
  saveRoutes(label: string, runs: ChangedRun[]): Promise<boolean> {
    return this.write(label, (id, version) => api.putRoutes(id, version, label, runs));
  }

  /** One edit of a route. */
  editRoute(label: string, edit: RunEdit): Promise<boolean> {
    return this.write(label, (id, version) => api.putRunEdit(id, version, label, edit));
  }

  /** Locks or unlocks a run. */
  lock(run: string, locked: boolean, label: string): Promise<boolean> {
    const runs = changedRuns(this.job.routes).filter((r) => r.run === run);
    return this.saveRoutes(label, runs.map((r) => ({ ...r, locked })));
  }

  /** Saves the closest attempt as the routes, to go on from by hand. */
  async useAttempt(): Promise<void> {
    const kept = await this.write(t.route.attempt.used, async (id, version) => {
      const { text } = await api.getDocument(id, 'attempt.toml');
      const job = await api.putDocument(id, 'routes.toml', version, text, t.route.attempt.used);
      return api.putDocument(id, 'attempt.toml', job.version, null, t.route.attempt.used);
    });
    if (kept) this.showAttempt = false;
  }

  /** Removes the closest attempt. */
  dropAttempt(): Promise<boolean> {
    return this.write(t.route.attempt.dropped, (id, version) => api.putDocument(id, 'attempt.toml', version, null, t.route.attempt.dropped));
  }

  /** Loads the alternatives and tested changes of the search that made the routes. */
  async loadAlternatives(): Promise<void> {
    try {
      const { alternatives, relaxations } = await api.listAlternatives(this.job.id);
      this.alternatives = alternatives;
      this.relaxations = relaxations;
    } catch (error) {
      notices.refused(error);
    }
  }

  /** Conflict: discards my change. */
  async discardMine(): Promise<void> {
    this.conflict = null;
    this.adopt(await api.getJob(this.job.id));
  }

  /** Conflict: applies my change to the present version. */
  async applyMine(): Promise<void> {
    const conflict = this.conflict;
    this.conflict = null;
    if (!conflict) return;
    this.job = await api.getJob(this.job.id);
    await this.write(conflict.mine, conflict.again);
  }

  /** Conflict: saves my version with my change as a copy; the job itself stays as the others left it. */
  async saveMineAsCopy(): Promise<JobView | null> {
    const conflict = this.conflict;
    this.conflict = null;
    if (!conflict) return null;
    const mine = this.job;
    let copy = await api.copyJob(mine.id);
    if (copy.text !== mine.text) copy = await api.putDocument(copy.id, 'job.toml', copy.version, mine.text, conflict.mine);
    if (mine.routes) copy = await api.putRoutes(copy.id, copy.version, conflict.mine, changedRuns(mine.routes));
    copy = await conflict.again(copy.id, copy.version);
    this.adopt(await api.getJob(mine.id));
    return copy;
  }
}

/** Longest pause between two attempts to reach the server, ms. */
const LONGEST_PAUSE_MS = 4000;

function pause(ms: number): Promise<void> {
  return new Promise((over) => setTimeout(over, ms));
}
