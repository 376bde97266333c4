/** The 3D view of the open job: passes the state to the layers, and pointer events back to the state. */
import * as api from '../api/calls';
import type { BayView, PieceView, RoutesView, RunView, Xyz } from '../api/schema';
import type { OpenJob, Overlay } from '../state/job.svelte';
import type { StepName } from '../state/place';
import { moveThing } from '../state/move';
import { showWithUnit } from '../format/length';
import { notices } from '../state/notices.svelte';
import { prefs } from '../state/prefs.svelte';
import { t } from '../texts/en';
import { Gizmo } from './gizmo';
import { Grips, type Gripped } from './grips';
import { Pointing } from './pointing';
import { RunsLayer, type FilmFrame, type Spot } from './runs';
import { snap } from './snap';
import { Surroundings, type Layer, type Movable, type Sight } from './surroundings';
import { Tape } from './tape';
import { Triad } from './triad';
import { World } from './world';

export class BayScene {
  readonly world: World;
  private readonly runs: RunsLayer;
  private readonly surroundings: Surroundings;
  private readonly pointing: Pointing;
  private readonly gizmo: Gizmo;
  readonly tape: Tape;
  private readonly grips: Grips;
  /** Whether parts can be put on and dragged. */
  private parted = false;
  private aimed: 'no' | 'bay' | 'routes' = 'no';

  constructor(host: HTMLElement, canvas: HTMLCanvasElement, labels: HTMLElement, triad: SVGSVGElement, private readonly open: OpenJob) {
    this.world = new World(host, canvas, labels);
    this.runs = new RunsLayer(this.world);
    const words = { front: t.bay.front, left: t.bay.left, up: t.bay.up };
    this.surroundings = new Surroundings(this.world, words, (name) => api.getMesh(open.job.id, name));
    this.pointing = new Pointing(this.world, canvas, this.runs, this.surroundings, {
      hover: (spot, keepout) => {
        open.spot = spot;
        open.keepout = keepout;
      },
      choose: (spot, event) => this.choose(spot, event),
      choosePoint: (index) => (open.chosenPoint = index),
      dragPoint: (index, to, free) => this.dragPoint(index, to, free),
      dropPoint: (index) => void open.trial.save(t.route.moved(open.chosen ?? '', index)),
      chooseThing: (thing) => (open.thing = thing),
      pick: (place) => open.pick(place),
      missed: () => notices.done(t.measure.scan.missed),
    });
    this.gizmo = new Gizmo(this.world, canvas, (by) => (open.thing ? moveThing(open, open.thing, by) : Promise.resolve(false)));
    this.grips = new Grips(this.world, canvas, this.runs, {
      drag: (key, to) => open.parts.drag(key, to),
      drop: (key) => void open.parts.drop(key),
    });
    this.tape = new Tape(this.world, (mm) => showWithUnit(mm, prefs.units));
    const axes = new Triad(triad);
    this.pointing.taken = () => this.gizmo.active || this.grips.active;
    this.world.onFrame = (coarse) => {
      this.surroundings.setCoarse(coarse);
      this.runs.face();
      this.pointing.size();
      this.grips.size();
      axes.turn(this.world.camera);
    };
  }

  private choose(spot: Spot | null, event: PointerEvent): void {
    const { open } = this;
    open.pressed = spot && this.parted ? { spot, x: event.offsetX, y: event.offsetY } : null;
    if (open.chosen !== (spot?.run ?? null)) open.chosenPoint = null;
    open.chosen = spot?.run ?? null;
  }

  private dragPoint(index: number, to: Xyz, free: boolean): void {
    const run = this.open.job.routes?.runs.find((r) => r.run === this.open.chosen);
    if (!run) return;
    this.open.trial.request({ kind: 'move_point', run: run.run, index, to: free ? to : snap(run.points, index, to) });
  }

  /** Shows the grips of parts; null where they are not worked on. */
  setParts(parts: Gripped[] | null): void {
    this.parted = parts !== null;
    this.grips.set(parts ?? [], this.open.job.routes?.runs ?? []);
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

  /** Hides a single thing, or lets one see through it. */
  see(thing: Movable, sight: Sight): void {
    this.surroundings.see(thing, sight);
  }

  /** The same for a run. */
  seeRun(run: string, sight: Sight): void {
    this.runs.see(run, sight);
  }

  /** Shows a moment of the assembly; null for everything in place. */
  setFilm(film: FilmFrame | null): void {
    this.runs.setFilm(film);
  }

  /** Marks the places picked on a scan so far. */
  setPicks(places: Xyz[]): void {
    this.world.labels.set('picks', places.map((at, i) => ({ key: `${i}`, at, text: `${i + 1}`, kind: 'bad' as const })));
    this.world.draw();
  }

  /** Shows or hides a layer. */
  show(layer: Layer, on: boolean): void {
    if (layer === 'tubes') this.runs.tubes.visible = on;
    else this.surroundings.show(layer, on);
    this.world.draw();
  }

  /** Whether clicks measure with the tape. */
  setTaping(on: boolean): void {
    this.pointing.tape = on ? (at) => this.tape.pick(at) : null;
  }

  /** Zooms to the selected tube or thing; to everything when nothing is selected. */
  zoomToSelection(): void {
    const run = this.open.chosenRun;
    const corner = (choose: (...n: number[]) => number, by: number) => [0, 1, 2].map((i) => choose(...run!.line.xyz.map((p) => p[i]!)) + by);
    const box = run
      ? { min: corner(Math.min, -run.od / 2), max: corner(Math.max, run.od / 2) }
      : this.open.thing && this.surroundings.boundsOf(this.open.thing);
    if (box) this.world.zoomTo(box.min, box.max);
    else this.world.look('home', true);
  }

  /** Bounds of what is looked at, for the section plane. */
  get bounds(): BayView['bounds'] | null {
    return this.surroundings.focus(this.open.routes?.runs.flatMap((r) => r.points) ?? []);
  }

  /** Grips the selected thing. */
  setThing(thing: Movable | null): void {
    const mesh = this.surroundings.setChosen(thing);
    this.gizmo.grips(mesh && this.surroundings.canMove(mesh) ? mesh : null, mesh ? this.surroundings.placeOf(thing!) : null);
  }

  /** `picking` is the scan on which points are being picked: the camera moves to it. */
  setMode(movable: boolean, picking: number | null): void {
    const begins = picking !== null && this.pointing.picking !== picking;
    const ends = picking === null && this.pointing.picking !== null;
    this.pointing.measuring = movable;
    this.pointing.picking = picking;
    const shape = begins ? this.open.job.bay?.keepouts[picking]?.shape : undefined;
    if (shape?.kind === 'mesh') this.world.aim(shape.bounds.min, shape.bounds.max);
    else if (ends) this.aim(null);
    if (begins || ends) this.world.look('home', true);
  }

  dispose(): void {
    this.gizmo.dispose();
    this.world.dispose();
  }
}
