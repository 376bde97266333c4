/** The 3D view of the open job: passes the state to the layers, and pointer events back to the state. */
import * as api from '../api/calls';
import type { BayView, PieceView, RoutesView, RunView, Xyz } from '../api/schema';
import type { OpenJob, Overlay } from '../state/job.svelte';
import type { StepName } from '../state/place';
import { moveThing } from '../state/move';
import { t } from '../texts/en';
import { Pointing } from './pointing';
import { RunsLayer, type Spot } from './runs';
import { snap } from './snap';
import { Surroundings } from './surroundings';
import { World } from './world';

export class BayScene {
  readonly world: World;
  private readonly runs: RunsLayer;
  private readonly surroundings: Surroundings;
  private readonly pointing: Pointing;
  private aimed: 'no' | 'bay' | 'routes' = 'no';

  constructor(host: HTMLElement, canvas: HTMLCanvasElement, labels: HTMLElement, private readonly open: OpenJob) {
    this.world = new World(host, canvas, labels);
    this.runs = new RunsLayer(this.world);
    const words = { front: t.bay.front, left: t.bay.left, up: t.bay.up };
    this.surroundings = new Surroundings(this.world, words, (name) => api.getMesh(open.job.id, name));
    this.pointing = new Pointing(this.world, canvas, this.runs, this.surroundings, {
      hover: (spot, keepout) => {
        open.spot = spot;
        open.keepout = keepout;
      },
      choose: (spot) => this.choose(spot),
      choosePoint: (index) => (open.chosenPoint = index),
      dragPoint: (index, to, free) => this.dragPoint(index, to, free),
      dropPoint: (index) => void open.trial.save(t.route.moved(open.chosen ?? '', index)),
      dragThing: (thing, by, done) => {
        if (done) void moveThing(open, thing, by);
      },
      pick: (place) => open.pick(place),
    });
    this.world.onFrame = (coarse) => {
      this.surroundings.setCoarse(coarse);
      this.runs.face();
      this.pointing.size();
    };
  }

  private choose(spot: Spot | null): void {
    const { open } = this;
    if (open.chosen !== (spot?.run ?? null)) open.chosenPoint = null;
    open.chosen = spot?.run ?? null;
  }

  private dragPoint(index: number, to: Xyz, free: boolean): void {
    const run = this.open.job.routes?.runs.find((r) => r.run === this.open.chosen);
    if (!run) return;
    this.open.trial.request({ kind: 'move_point', run: run.run, index, to: free ? to : snap(run.points, index, to) });
  }

  setGround(dark: boolean): void {
    const style = getComputedStyle(document.documentElement);
    const color = (name: string) => style.getPropertyValue(name).trim();
    this.world.setGround({ dark, ink: color('--ink'), paper: color('--paper'), accent: color('--accent'), bad: color('--bad') });
    this.surroundings.setBay(this.open.bay);
  }

  setBay(bay: BayView | null): void {
    this.surroundings.setBay(bay);
    this.aim(null);
  }

  setRoutes(routes: RoutesView | null, pieces: PieceView[], step: StepName): void {
    this.runs.setRoutes(routes, pieces);
    this.runs.setMarks(step === 'cut' ? pieces : null);
    this.aim(routes);
  }

  /** Fits everything once there is something, and again when the first routes arrive. */
  private aim(routes: RoutesView | null): void {
    const box = this.surroundings.focus((routes ?? this.open.routes)?.runs.flatMap((r) => r.points) ?? []);
    if (!box) return;
    this.world.aim(box.min, box.max);
    const what = routes?.runs.length ? 'routes' : 'bay';
    if (this.aimed === 'no' || (this.aimed === 'bay' && what === 'routes')) {
      this.aimed = what;
      this.world.look('home');
    }
  }

  setGhost(before: RoutesView | null, overlay: Overlay | null): void {
    this.runs.setGhost(before);
    this.runs.setOverlay(overlay?.runs ?? []);
  }

  setMarked(spot: Spot | null, chosen: string | null, mark: string | null, keepout: string | null): void {
    const piece = this.open.job.plan?.pieces.find((p) => p.mark === mark);
    this.runs.setSpot(spot, chosen, piece ? { run: piece.run, from: piece.from_mm, to: piece.to_mm } : null);
    this.surroundings.lightUp(keepout);
  }

  setHandles(run: RunView | null, chosen: number | null): void {
    this.pointing.setHandles(run, chosen);
  }

  /** `picking` is the scan on which points are being picked: the camera moves to it. */
  setMode(movable: boolean, picking: number | null): void {
    const begins = picking !== null && this.pointing.picking !== picking;
    const ends = picking === null && this.pointing.picking !== null;
    this.pointing.movable = movable;
    this.pointing.picking = picking;
    const shape = begins ? this.open.job.bay?.keepouts[picking]?.shape : undefined;
    if (shape?.kind === 'mesh') this.world.aim(shape.bounds.min, shape.bounds.max);
    else if (ends) this.aim(null);
    if (begins || ends) this.world.look('home', true);
  }

  dispose(): void {
    this.world.dispose();
  }
}
