/** Pointer input in the 3D view: hover, selection, and dragging of handles in the plane of the screen. */
import { Mesh, MeshBasicMaterial, Plane, SphereGeometry, Vector3, Group, type Intersection } from 'three';
import type { RunView, Xyz } from '../api/schema';
import { clockAt, nearestOn } from './line';
import type { RunsLayer, Spot } from './runs';
import type { Movable, Surroundings } from './surroundings';
import type { World } from './world';

/** Radius of a handle on the screen, pixels. */
const HANDLE_PX = 9;

/** Handlers of pointer events. */
export interface PointerHandlers {
  hover(spot: Spot | null, keepout: string | null): void;
  choose(spot: Spot | null, event: PointerEvent): void;
  choosePoint(index: number): void;
  dragPoint(index: number, to: Xyz, free: boolean): void;
  dropPoint(index: number): void;
  chooseThing(thing: Movable | null): void;
  pick(place: Xyz): void;
  missed(): void;
}

interface Drag {
  plane: Plane;
  from: Vector3;
  start: Vector3;
  point: number;
  moved: boolean;
}

/** Pointer input of one canvas. */
export class Pointing {
  private readonly handles = new Group();
  private run: RunView | null = null;
  private drag: Drag | null = null;
  private down: { x: number; y: number } | null = null;
  /** Whether a click selects measured things. */
  measuring = false;
  /** Whether the pointer is over something that handles it itself. */
  taken: () => boolean = () => false;
  /** Index of the scan on which a click picks a point instead of a run; null when not picking. */
  picking: number | null = null;
  /** Takes the place of a click on anything while measuring with the tape; null while not. */
  tape: ((place: Xyz) => void) | null = null;

  constructor(
    private readonly world: World,
    private readonly canvas: HTMLCanvasElement,
    private readonly runs: RunsLayer,
    private readonly surroundings: Surroundings,
    private readonly handlers: PointerHandlers,
  ) {
    world.root.add(this.handles);
    canvas.addEventListener('pointerdown', this.onDown, { capture: true });
    canvas.addEventListener('pointermove', this.onMove);
    canvas.addEventListener('pointerup', this.onUp);
    canvas.addEventListener('pointercancel', this.onUp);
    canvas.addEventListener('pointerleave', () => this.handlers.hover(null, null));
  }

  /** Shows a handle at every intersection point of a run; none for null. */
  setHandles(run: RunView | null, chosen: number | null): void {
    this.run = run;
    const wanted = run ? run.points.length - 2 : 0;
    while (this.handles.children.length > wanted) this.handles.remove(this.handles.children[this.handles.children.length - 1]!);
    while (this.handles.children.length < wanted) {
      const handle = new Mesh(new SphereGeometry(1, 20, 14), new MeshBasicMaterial({ depthTest: false, transparent: true }));
      handle.renderOrder = 12;
      this.handles.add(handle);
    }
    this.handles.children.forEach((handle, i) => {
      handle.position.set(...run!.points[i + 1]!);
      const color = i + 1 === chosen ? this.world.ground.accent : this.world.ground.ink;
      ((handle as Mesh).material as MeshBasicMaterial).color.set(color);
    });
    const labels = (run?.points.slice(1, -1) ?? []).map((at, i) => ({ key: `${i + 1}`, at, text: `B${i + 1}`, kind: 'handle' as const }));
    this.world.labels.set('handles', labels);
    this.world.draw();
  }

  /** Keeps the handles at one size on the screen. */
  size(): void {
    for (const handle of this.handles.children) handle.scale.setScalar(this.world.mmPerPixel(handle.position) * HANDLE_PX);
  }

  private readonly onDown = (event: PointerEvent): void => {
    this.down = { x: event.clientX, y: event.clientY };
    if (event.button !== 0) return;
    const handle = this.handleAt(event);
    if (handle === null) return;
    const start = new Vector3(...this.run!.points[handle]!);
    const normal = this.world.camera.getWorldDirection(new Vector3());
    const plane = new Plane().setFromNormalAndCoplanarPoint(normal, start);
    const { ray } = this.world.rayAt(event.clientX, event.clientY);
    const from = ray.intersectPlane(plane, new Vector3()) ?? start.clone();
    this.drag = { plane, from, start, moved: false, point: handle };
    this.world.controls.enabled = false;
    this.canvas.setPointerCapture(event.pointerId);
    this.handlers.choosePoint(handle);
  };

  /** The handle under the pointer; a finger takes it from further away. */
  private handleAt(event: PointerEvent): number | null {
    const box = this.canvas.getBoundingClientRect();
    const reach = event.pointerType === 'touch' ? 26 : 14;
    let best: { index: number; away: number } | null = null;
    this.handles.children.forEach((handle, i) => {
      const at = handle.position.clone().project(this.world.camera);
      const x = box.left + ((at.x + 1) / 2) * box.width;
      const y = box.top + ((1 - at.y) / 2) * box.height;
      const away = Math.hypot(x - event.clientX, y - event.clientY);
      if (away < reach && (best === null || away < best.away)) best = { index: i + 1, away };
    });
    return (best as { index: number } | null)?.index ?? null;
  }

  private thingAt(hits: Intersection[]): Movable | null {
    for (const { object } of hits) {
      const movable = (object.userData.part ? object.parent : object)?.userData.movable as Movable | undefined;
      if (movable) return movable;
    }
    return null;
  }

  private readonly onMove = (event: PointerEvent): void => {
    const drag = this.drag;
    if (!drag) return this.hover(event);
    const at = this.world.rayAt(event.clientX, event.clientY).ray.intersectPlane(drag.plane, new Vector3());
    if (!at || (!drag.moved && !this.away(event))) return;
    drag.moved = true;
    const by = at.sub(drag.from);
    this.handlers.dragPoint(drag.point, drag.start.clone().add(by).toArray(), event.altKey);
  };

  private hover(event: PointerEvent): void {
    if (event.buttons !== 0 || event.pointerType === 'touch') return;
    const ray = this.world.rayAt(event.clientX, event.clientY);
    const spot = this.spotAt(ray.intersectObjects(this.runs.tubes.children, false));
    const keepout = spot ? null : ray.intersectObjects(this.surroundings.things.children, false)[0]?.object.userData.keepout;
    const over = this.handleAt(event) !== null;
    const pick = spot !== null || (this.measuring && keepout !== null);
    this.canvas.style.cursor = this.picking !== null || this.tape ? 'crosshair' : over ? 'move' : pick ? 'pointer' : 'grab';
    this.handlers.hover(spot, (keepout as { name: string } | undefined)?.name ?? null);
  }

  private spotAt(hits: Intersection[]): Spot | null {
    const hit = hits[0];
    if (!hit) return null;
    const line = this.runs.lineOf(hit.object.name);
    if (!line) return null;
    const { at } = nearestOn(line, hit.point.toArray());
    return { run: hit.object.name, at, clock: clockAt(line, at, hit.point.toArray()) };
  }

  private away(event: PointerEvent): boolean {
    return this.down !== null && Math.hypot(event.clientX - this.down.x, event.clientY - this.down.y) > 4;
  }

  private readonly onUp = (event: PointerEvent): void => {
    const drag = this.drag;
    this.drag = null;
    this.world.controls.enabled = true;
    if (drag?.moved) return this.handlers.dropPoint(drag.point);
    if (drag || this.away(event) || event.button !== 0 || this.taken()) return;
    this.click(event);
  };

  private click(event: PointerEvent): void {
    const ray = this.world.rayAt(event.clientX, event.clientY);
    if (this.tape) {
      const hit = ray.intersectObjects([...this.runs.tubes.children, ...this.surroundings.things.children], true)[0];
      if (hit) this.tape(hit.point.toArray());
      return;
    }
    if (this.picking !== null) {
      const scan = this.surroundings.keepoutAt(this.picking);
      const hit = scan && ray.intersectObject(scan, false)[0];
      if (hit) this.handlers.pick(hit.point.toArray());
      else this.handlers.missed();
      return;
    }
    const spot = this.spotAt(ray.intersectObjects(this.runs.tubes.children, false));
    this.handlers.choose(spot, event);
    if (this.measuring) this.handlers.chooseThing(spot ? null : this.thingAt(ray.intersectObjects(this.surroundings.things.children, true)));
  }
}
