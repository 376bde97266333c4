/** Pointer input in the 3D view: hover, selection, and dragging of handles or measured things in the plane of the screen. */
import { Mesh, MeshBasicMaterial, Plane, SphereGeometry, Vector3, Group, type Intersection } from 'three';
import type { RunView, Xyz } from '../api/schema';
import { nearestOn } from './line';
import type { RunsLayer, Spot } from './runs';
import type { Movable, Surroundings } from './surroundings';
import type { World } from './world';

/** Radius of a handle on the screen, pixels. */
const HANDLE_PX = 9;

/** Handlers of pointer events. */
export interface PointerHandlers {
  hover(spot: Spot | null, keepout: string | null): void;
  choose(spot: Spot | null): void;
  choosePoint(index: number): void;
  dragPoint(index: number, to: Xyz, free: boolean): void;
  dropPoint(index: number): void;
  dragThing(thing: Movable, by: Xyz, done: boolean): void;
  pick(place: Xyz): void;
}

interface Drag {
  plane: Plane;
  from: Vector3;
  start: Vector3;
  point?: number;
  thing?: Mesh;
  moved: boolean;
}

/** Pointer input of one canvas. */
export class Pointing {
  private readonly handles = new Group();
  private run: RunView | null = null;
  private drag: Drag | null = null;
  private down: { x: number; y: number } | null = null;
  /** Whether measured things may be dragged. */
  movable = false;
  /** Index of the scan on which a click picks a point instead of a run; null when not picking. */
  picking: number | null = null;

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
    const labels = (run?.points.slice(1, -1) ?? []).map((at, i) => ({ key: `${i + 1}`, at, text: `${i + 1}`, kind: 'handle' as const }));
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
    const ray = this.world.rayAt(event.clientX, event.clientY);
    const handle = this.handleAt(event);
    const thing = handle === null && this.movable && this.picking === null ? this.thingAt(ray.intersectObjects(this.surroundings.things.children, true)) : null;
    if (handle === null && !thing) return;
    const start = handle !== null ? new Vector3(...this.run!.points[handle]!) : (thing!.hit.point.clone() as Vector3);
    const normal = this.world.camera.getWorldDirection(new Vector3());
    const plane = new Plane().setFromNormalAndCoplanarPoint(normal, start);
    const from = ray.ray.intersectPlane(plane, new Vector3()) ?? start.clone();
    this.drag = { plane, from, start, moved: false, point: handle ?? undefined, thing: thing?.mesh };
    this.world.controls.enabled = false;
    this.canvas.setPointerCapture(event.pointerId);
    if (handle !== null) this.handlers.choosePoint(handle);
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

  private thingAt(hits: Intersection[]): { mesh: Mesh; hit: Intersection } | null {
    for (const hit of hits) {
      const mesh = (hit.object.userData.part ? hit.object.parent : hit.object) as Mesh | null;
      const keepout = mesh?.userData.keepout as { shape: { kind: string } } | undefined;
      if (mesh?.userData.movable && keepout?.shape.kind !== 'mesh') return { mesh, hit };
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
    if (drag.point !== undefined) {
      this.handlers.dragPoint(drag.point, drag.start.clone().add(by).toArray(), event.altKey);
    } else if (drag.thing) {
      const home = (drag.thing.userData.home ??= drag.thing.position.clone()) as Vector3;
      drag.thing.position.copy(home).add(by);
      this.handlers.dragThing(drag.thing.userData.movable as Movable, by.toArray(), false);
      this.world.draw();
    }
  };

  private hover(event: PointerEvent): void {
    if (event.buttons !== 0 || event.pointerType === 'touch') return;
    const ray = this.world.rayAt(event.clientX, event.clientY);
    const spot = this.spotAt(ray.intersectObjects(this.runs.tubes.children, false));
    const keepout = spot ? null : ray.intersectObjects(this.surroundings.things.children, false)[0]?.object.userData.keepout;
    const over = this.handleAt(event) !== null;
    this.canvas.style.cursor = this.picking !== null ? 'crosshair' : over ? 'move' : spot ? 'pointer' : 'grab';
    this.handlers.hover(spot, (keepout as { name: string } | undefined)?.name ?? null);
  }

  private spotAt(hits: Intersection[]): Spot | null {
    const hit = hits[0];
    if (!hit) return null;
    const line = this.runs.lineOf(hit.object.name);
    return line ? { run: hit.object.name, at: nearestOn(line, hit.point.toArray()).at } : null;
  }

  private away(event: PointerEvent): boolean {
    return this.down !== null && Math.hypot(event.clientX - this.down.x, event.clientY - this.down.y) > 4;
  }

  private readonly onUp = (event: PointerEvent): void => {
    const drag = this.drag;
    this.drag = null;
    this.world.controls.enabled = true;
    if (drag?.moved) {
      if (drag.point !== undefined) this.handlers.dropPoint(drag.point);
      else if (drag.thing) {
        const home = drag.thing.userData.home as Vector3;
        const by = drag.thing.position.clone().sub(home);
        this.handlers.dragThing(drag.thing.userData.movable as Movable, by.toArray(), true);
      }
      return;
    }
    if (drag?.point !== undefined || this.away(event) || event.button !== 0) return;
    this.click(event);
  };

  private click(event: PointerEvent): void {
    const ray = this.world.rayAt(event.clientX, event.clientY);
    if (this.picking !== null) {
      const scan = this.surroundings.keepoutAt(this.picking);
      const hit = scan && ray.intersectObject(scan, false)[0];
      if (hit) this.handlers.pick(hit.point.toArray());
      return;
    }
    this.handlers.choose(this.spotAt(ray.intersectObjects(this.runs.tubes.children, false)));
  }
}
