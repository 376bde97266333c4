/** Layers of the routes: tubes, joints, ghosts, rings at unmet requirements, the marked spot. */
import {
  BufferGeometry, Color, DoubleSide, Float32BufferAttribute, Group, Line as ThreeLine, LineBasicMaterial, LineDashedMaterial, Mesh,
  MeshBasicMaterial, MeshStandardMaterial, SphereGeometry, TorusGeometry, Vector3, type Material,
} from 'three';
import type { AssemblyStep, LineView, PieceView, RoutesView, RunView, UnmetView, Xyz } from '../api/schema';
import { drop, empty } from './dispose';
import { placeAt } from './line';
import { inkOn, runColour, runTag } from './palette';
import { sweep } from './tube';
import { SEE_THROUGH, type Sight } from './surroundings';
import type { World } from './world';

/** A place on a run. */
export interface Spot {
  run: string;
  at: number;
  /** Where it looks from the centreline, degrees from up; only of a place that was pointed at. */
  clock?: number;
}

/** A part of a run, mm from the port. */
export interface Stretch {
  run: string;
  from: number;
  to: number;
}

/** The order of assembly at a moment: runs before `at` are in place, the one at it is on its way in, later ones are not there yet. */
export interface FilmFrame {
  steps: AssemblyStep[];
  /** From 0 to the number of steps. */
  at: number;
}

/** Distance from which a run comes in, mm. */
const AWAY_MM = 220;

/** Draws routes and their marks. */
export class RunsLayer {
  /** The tubes themselves, for picking. */
  readonly tubes = new Group();
  private readonly ghosts = new Group();
  private readonly joints = new Group();
  private readonly wrong = new Group();
  private readonly overlay = new Group();
  private readonly spot: Mesh;
  private drawn = new Map<string, { line: LineView; mesh: Mesh }>();
  private runs: RunView[] = [];
  private readonly sights = new Map<string, Sight>();
  private film: FilmFrame | null = null;
  private pieces: PieceView[] | null = null;
  private marked: [spot: Spot | null, chosen: string | null, stretch: Stretch | null] = [null, null, null];

  constructor(private readonly world: World) {
    this.spot = new Mesh(new SphereGeometry(1, 20, 14), new MeshBasicMaterial({ depthTest: false, transparent: true }));
    this.spot.renderOrder = 10;
    this.spot.visible = false;
    world.root.add(this.tubes, this.ghosts, this.joints, this.wrong, this.overlay, this.spot);
  }

  /** Shows these routes; only tubes whose line has changed are swept again. `setMarks` then names them. */
  setRoutes(routes: RoutesView | null, pieces: PieceView[]): void {
    this.runs = routes?.runs ?? [];
    const drawn = new Map<string, { line: LineView; mesh: Mesh }>();
    for (const run of this.runs) {
      const before = this.drawn.get(run.run);
      if (before && before.line === run.line) drawn.set(run.run, before);
      else drawn.set(run.run, { line: run.line, mesh: this.tube(run) });
    }
    for (const [name, { mesh }] of this.drawn) if (drawn.get(name)?.mesh !== mesh) mesh.geometry.dispose();
    this.drawn = drawn;
    this.tubes.clear();
    for (const { mesh } of drawn.values()) this.tubes.add(mesh);
    this.setJoints(pieces);
    this.setWrong(routes?.unmet ?? []);
    this.setSpot(...this.marked);
  }

  /** Centreline of a run, as drawn. */
  lineOf(run: string): LineView | undefined {
    return this.drawn.get(run)?.line;
  }

  private tube(run: RunView): Mesh {
    const material = new MeshStandardMaterial({
      color: runColour(run.number), metalness: 0.35, roughness: 0.42, side: DoubleSide,
    });
    const mesh = new Mesh(sweep(run.line, run.od / 2), material);
    mesh.name = run.run;
    return mesh;
  }

  private labelRuns(): void {
    const seen = this.runs.filter((run) => this.sights.get(run.run) !== 'hidden' && this.arrived(run.run) === 1);
    this.world.labels.set('runs', seen.map((run) => {
      const text = `${runTag(run)}${run.locked ? ' locked' : ''}`;
      return { key: run.run, at: placeAt(run.line, Math.min(run.length_mm * 0.12, 90)), text, kind: 'run' as const, ...inColour(run) };
    }));
  }

  private setJoints(pieces: PieceView[]): void {
    empty(this.joints);
    const material = new MeshBasicMaterial({ color: 0x1d1b18 });
    for (const run of this.runs) {
      const own = pieces.filter((p) => p.run === run.run);
      for (const piece of own.filter((p) => p.to_mm < run.length_mm - 0.01)) {
        this.joints.add(ringAround(run.line, piece.to_mm, run.od / 2 + 0.2, 0.7, material));
      }
    }
  }

  /** Shows the marks of the pieces on their tubes, instead of the run numbers. */
  setMarks(pieces: PieceView[] | null): void {
    this.pieces = pieces;
    this.world.labels.set('marks', (pieces ?? []).flatMap((piece) => {
      const run = this.runs.find((r) => r.run === piece.run);
      if (!run || this.arrived(run.run) < 1) return [];
      const at = placeAt(run.line, (piece.from_mm + piece.to_mm) / 2);
      return [{ key: piece.mark, at, text: piece.mark, kind: 'run' as const, ...inColour(run) }];
    }));
    if (pieces?.length) this.world.labels.set('runs', []);
    else this.labelRuns();
    this.world.draw();
  }

  private setWrong(unmet: UnmetView[]): void {
    empty(this.wrong);
    const material = new MeshBasicMaterial({ color: this.world.ground.bad, depthTest: false, transparent: true, opacity: 0.9 });
    const placed = unmet.filter((u) => u.at);
    for (const { at, run } of placed) {
      const od = this.runs.find((r) => r.run === run)?.od ?? 45;
      const ring = new Mesh(new TorusGeometry(od * 0.75, Math.max(od * 0.05, 1.5), 10, 40), material);
      ring.position.set(...at!);
      ring.renderOrder = 8;
      ring.userData.faces = true;
      this.wrong.add(ring);
    }
    this.world.labels.set('wrong', placed.map((u, i) => ({ key: `${i}`, at: u.at!, text: '!', kind: 'bad' as const })));
  }

  /** Turns the rings towards the camera. */
  face(): void {
    for (const ring of this.wrong.children) if (ring.userData.faces) ring.quaternion.copy(this.world.camera.quaternion);
  }

  /** Shows the previous routes as thin dashed lines. */
  setGhost(routes: RoutesView | null): void {
    empty(this.ghosts);
    for (const run of routes?.runs ?? []) this.ghosts.add(lineOf(run.line, true, this.world.ground.ink));
    this.world.draw();
  }

  /** Overlays other routes, translucent. */
  setOverlay(runs: { number: number; od: number; line: LineView }[]): void {
    empty(this.overlay);
    for (const run of runs) {
      const color = new Color(runColour(run.number)).lerp(new Color(this.world.ground.dark ? '#ffffff' : '#000000'), 0.25);
      const material = new MeshStandardMaterial({ color, transparent: true, opacity: 0.38, depthWrite: false, roughness: 0.8 });
      this.overlay.add(new Mesh(sweep(run.line, run.od / 2 + 0.4), material), lineOf(run.line, true, this.world.ground.ink));
    }
    this.world.draw();
  }

  /** Shows a moment of the assembly; null for everything in place. */
  setFilm(film: FilmFrame | null): void {
    this.film = film;
    for (const group of [this.joints, this.wrong, this.ghosts, this.overlay]) group.visible = film === null;
    this.setSpot(...this.marked);
    this.setMarks(this.pieces);
  }

  /** How far a run has come in: 1 in place, 0 not there yet. */
  private arrived(run: string): number {
    const index = this.film?.steps.findIndex((step) => step.run === run) ?? -1;
    return this.film && index >= 0 ? Math.min(Math.max(this.film.at - index, 0), 1) : 1;
  }

  /** Hides a single run, or lets one see through it. */
  see(run: string, sight: Sight): void {
    this.sights.set(run, sight);
    this.labelRuns();
    this.setSpot(...this.marked);
  }

  /** Marks a spot, the selected run and, when given, a stretch of one run. */
  setSpot(spot: Spot | null, chosen: string | null, stretch: Stretch | null): void {
    this.marked = [spot, chosen, stretch];
    const run = this.runs.find((r) => r.run === spot?.run);
    this.spot.visible = run !== undefined && spot !== null;
    if (run && spot) {
      this.spot.position.set(...placeAt(run.line, spot.at));
      this.spot.scale.setScalar(run.od * 0.2);
      (this.spot.material as MeshBasicMaterial).color.set(this.world.ground.accent);
    }
    for (const [name, { mesh }] of this.drawn) {
      const material = mesh.material as MeshStandardMaterial;
      const faint = (chosen !== null && chosen !== name) || (stretch !== null && stretch.run !== name);
      const sight = this.sights.get(name);
      const arrived = this.arrived(name);
      const off = this.film?.steps.find((step) => step.run === name)?.off ?? [0, 0, 0];
      mesh.position.set(...off).multiplyScalar(AWAY_MM * (1 - arrived) ** 2);
      mesh.visible = arrived > 0 && (sight !== 'hidden' || chosen === name);
      material.opacity = sight === 'through' ? SEE_THROUGH : faint ? 0.45 : 1;
      material.transparent = material.opacity < 1;
      material.emissive.set(spot?.run === name ? material.color : 0x000000);
      material.emissiveIntensity = 0.18;
    }
    this.setStretch(stretch);
    this.world.draw();
  }

  private setStretch(stretch: Stretch | null): void {
    const old = this.world.root.getObjectByName('stretch');
    if (old) drop(old);
    const run = this.runs.find((r) => r.run === stretch?.run);
    if (!run || !stretch) return;
    const material = new MeshStandardMaterial({ color: this.world.ground.accent, roughness: 0.5 });
    const mesh = new Mesh(sweep(cutOut(run.line, stretch.from, stretch.to), run.od / 2 + 0.6), material);
    mesh.name = 'stretch';
    this.world.root.add(mesh);
  }
}

function inColour(run: RunView): { fill: string; ink: string } {
  const fill = runColour(run.number);
  return { fill, ink: inkOn(fill) };
}

/** The part of a line between two stations. */
export function cutOut(line: LineView, from: number, to: number): LineView {
  const inner = line.at_mm.map((at, i) => [at, line.xyz[i]!] as const).filter(([at]) => at > from + 0.01 && at < to - 0.01);
  const all: (readonly [number, Xyz])[] = [[from, placeAt(line, from)], ...inner, [to, placeAt(line, to)]];
  return { at_mm: all.map(([at]) => at), xyz: all.map(([, place]) => place) };
}

function ringAround(line: LineView, at: number, radius: number, thick: number, material: Material): Mesh {
  const place = new Vector3(...placeAt(line, at));
  const ahead = new Vector3(...placeAt(line, at + 2)).sub(new Vector3(...placeAt(line, at - 2))).normalize();
  const ring = new Mesh(new TorusGeometry(radius, thick, 6, 36), material);
  ring.position.copy(place);
  ring.quaternion.setFromUnitVectors(new Vector3(0, 0, 1), ahead);
  return ring;
}

function lineOf(line: LineView, dashed: boolean, color: string): ThreeLine {
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new Float32BufferAttribute(line.xyz.flat(), 3));
  const material = dashed ? new LineDashedMaterial({ color, dashSize: 8, gapSize: 5 }) : new LineBasicMaterial({ color });
  const drawn = new ThreeLine(geometry, material);
  drawn.computeLineDistances();
  return drawn;
}
