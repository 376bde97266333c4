/** Grips on the parts that sit on tubes: dragged along a tube and round it. */
import { Group, Mesh, MeshBasicMaterial, SphereGeometry, Vector3 } from 'three';
import type { LineView, RunView } from '../api/schema';
import { clockAt, nearestOn, onTube, placeAt } from './line';
import type { RunsLayer, Spot } from './runs';
import type { World } from './world';

/** Radius of a grip on the screen, and how near a pointer or a finger must come, pixels. */
const GRIP_PX = 8;
const REACH_PX = { mouse: 14, touch: 26 };

/** A part on a run, with a grip. */
export interface Gripped extends Spot {
  /** Its name and its label: `Bracket 1`. */
  key: string;
  clock: number;
}

/** Handlers of drags. */
export interface GripHandlers {
  drag(key: string, to: Required<Spot>): void;
  drop(key: string): void;
}

export class Grips {
  private readonly group = new Group();
  private parts: Gripped[] = [];
  private runsOf = new Map<string, RunView>();
  private drag: { part: Gripped; pointer: number; moved: boolean; from: [number, number] } | null = null;

  constructor(private readonly world: World, private readonly canvas: HTMLCanvasElement, private readonly runs: RunsLayer, private readonly handlers: GripHandlers) {
    world.root.add(this.group);
    // Before the camera's own controls hear of it.
    canvas.addEventListener('pointerdown', this.onDown, { capture: true });
    canvas.addEventListener('pointermove', this.onMove);
    canvas.addEventListener('pointerup', this.onUp);
    canvas.addEventListener('pointercancel', this.onUp);
  }

  /** Whether a grip is held. */
  get active(): boolean {
    return this.drag !== null;
  }

  /** Shows a grip on each of these parts. */
  set(parts: Gripped[], runs: RunView[]): void {
    this.runsOf = new Map(runs.map((run) => [run.run, run]));
    this.parts = parts.filter((part) => this.runsOf.has(part.run));
    while (this.group.children.length > this.parts.length) this.group.remove(this.group.children[this.group.children.length - 1]!);
    while (this.group.children.length < this.parts.length) {
      const grip = new Mesh(new SphereGeometry(1, 20, 14), new MeshBasicMaterial({ depthTest: false, transparent: true }));
      grip.renderOrder = 13;
      this.group.add(grip);
    }
    this.parts.forEach((part, i) => {
      const run = this.runsOf.get(part.run)!;
      const grip = this.group.children[i] as Mesh;
      grip.position.set(...onTube(run.line, run.od / 2, part.at, part.clock));
      (grip.material as MeshBasicMaterial).color.set(part.key === this.drag?.part.key ? this.world.ground.accent : this.world.ground.ink);
    });
    this.world.labels.set('grips', this.parts.map((part, i) => ({ key: part.key, at: this.group.children[i]!.position.toArray(), text: part.key, kind: 'grip' as const })));
    this.world.draw();
  }

  /** Keeps the grips at one size on the screen. */
  size(): void {
    for (const grip of this.group.children) grip.scale.setScalar(this.world.mmPerPixel(grip.position) * GRIP_PX);
  }

  private onScreen(at: Vector3): [number, number] {
    const box = this.canvas.getBoundingClientRect();
    const seen = at.clone().project(this.world.camera);
    return [box.left + ((seen.x + 1) / 2) * box.width, box.top + ((1 - seen.y) / 2) * box.height];
  }

  private gripAt(event: PointerEvent): Gripped | null {
    const reach = event.pointerType === 'touch' ? REACH_PX.touch : REACH_PX.mouse;
    const away = this.group.children.map((grip) => {
      const [x, y] = this.onScreen(grip.position);
      return Math.hypot(x - event.clientX, y - event.clientY);
    });
    const least = Math.min(...away, Infinity);
    return least < reach ? (this.parts[away.indexOf(least)] ?? null) : null;
  }

  private readonly onDown = (event: PointerEvent): void => {
    if (event.button !== 0) return;
    const part = this.gripAt(event);
    if (!part) return;
    this.drag = { part, pointer: event.pointerId, moved: false, from: [event.clientX, event.clientY] };
    this.world.controls.enabled = false;
    this.canvas.setPointerCapture(event.pointerId);
  };

  private readonly onMove = (event: PointerEvent): void => {
    const { drag } = this;
    if (!drag || event.pointerId !== drag.pointer) return;
    drag.moved ||= Math.hypot(event.clientX - drag.from[0], event.clientY - drag.from[1]) > 4;
    const run = this.runsOf.get(drag.part.run);
    if (!drag.moved || !run) return;
    this.handlers.drag(drag.part.key, { run: run.run, ...this.placeUnder(event, run) });
  };

  /** The place of a run under the pointer: on its tube, or beside it the one that looks nearest. */
  private placeUnder(event: PointerEvent, run: RunView): { at: number; clock: number } {
    const tube = this.runs.tubes.children.find((mesh) => mesh.name === run.run);
    const hit = tube && this.world.rayAt(event.clientX, event.clientY).intersectObject(tube, false)[0];
    if (hit) {
      const { at } = nearestOn(run.line, hit.point.toArray());
      return { at, clock: clockAt(run.line, at, hit.point.toArray()) };
    }
    const at = this.nearestSeen(event, run.line);
    const { ray } = this.world.rayAt(event.clientX, event.clientY);
    const beside = ray.closestPointToPoint(new Vector3(...placeAt(run.line, at)), new Vector3());
    return { at, clock: clockAt(run.line, at, beside.toArray()) };
  }

  private nearestSeen(event: PointerEvent, line: LineView): number {
    let best = { at: 0, away: Infinity };
    line.xyz.forEach((place, i) => {
      const [x, y] = this.onScreen(new Vector3(...place));
      const away = Math.hypot(x - event.clientX, y - event.clientY);
      if (away < best.away) best = { at: line.at_mm[i]!, away };
    });
    return best.at;
  }

  private readonly onUp = (event: PointerEvent): void => {
    const { drag } = this;
    if (!drag || event.pointerId !== drag.pointer) return;
    this.drag = null;
    this.world.controls.enabled = true;
    if (drag.moved) this.handlers.drop(drag.part.key);
  };
}
