/** Layers of measured things: ports, collectors, obstacles, scans, tool paths, ground plane and axis names. */
import {
  Box3, BufferAttribute, BufferGeometry, ConeGeometry, CylinderGeometry, DoubleSide, Float32BufferAttribute, GridHelper, Group, LineBasicMaterial, LineSegments,
  Mesh, MeshLambertMaterial, MeshStandardMaterial, TorusGeometry, Vector3,
} from 'three';
import type { BayView, CollectorView, KeepoutView, ShapeView, Xyz } from '../api/schema';
import type { Label } from './labels';
import { empty } from './dispose';
import { along, coarseIndex, readMesh, solid } from './tube';
import type { World } from './world';

/** A measured thing that can be selected and moved: its place in the job's document. */
export interface Movable {
  kind: 'port' | 'collector' | 'keepout';
  index: number;
}

/** Layers that can be shown and hidden. */
export type Layer = 'tubes' | 'obstacles' | 'tools' | 'ground' | 'names';

/** How a single object is seen. */
export type Sight = 'shown' | 'through' | 'hidden';

/** Opacity of an object that is seen through. */
export const SEE_THROUGH = 0.14;

/** A loaded scan, and its coarse triangles for slow frames. */
interface Scan {
  geometry: BufferGeometry;
  coarse: BufferAttribute;
}

/** Margin around the things in view, mm. */
const MARGIN_MM = 60;

/** Names of the axes, in the language of the page. */
export interface GroundWords {
  front: string;
  left: string;
  up: string;
}

/** Draws measured things. */
export class Surroundings {
  /** Meshes that can be picked and dragged. */
  readonly things = new Group();
  private readonly ways = new Group();
  /** Brackets, slip joints and bungs: they go with the runs and are not picked. */
  private readonly parts = new Group();
  private readonly ground = new Group();
  private readonly scans = new Map<string, Scan>();
  private bay: BayView | null = null;
  private near: string | null = null;
  private chosen: Movable | null = null;
  private names = false;
  private obstacles = true;
  private readonly sights = new Map<string, Sight>();
  private shown = '';

  constructor(
    private readonly world: World,
    private readonly words: GroundWords,
    private readonly fetchScan: (name: string) => Promise<ArrayBuffer>,
  ) {
    world.root.add(this.things, this.ways, this.parts, this.ground);
  }

  /** Shows an engine bay; does nothing when it is already shown. */
  setBay(bay: BayView | null): void {
    const shown = JSON.stringify([bay, this.world.ground]);
    if (shown === this.shown) return;
    this.shown = shown;
    this.bay = bay;
    empty(this.things);
    empty(this.ways);
    empty(this.parts);
    empty(this.ground);
    if (!bay) return this.world.labels.set('bay', []);
    bay.ports.forEach((port, index) => this.put(this.flange(port.at, port.axis, port.od), { kind: 'port', index }));
    bay.collectors.forEach((collector, index) => this.put(this.collector(collector), { kind: 'collector', index }));
    bay.keepouts.forEach((keepout, index) => this.keepout(keepout, index));
    for (const way of bay.tools) this.way(way.from, way.to, way.radius);
    for (const part of bay.parts) {
      const geometry = solid(part.shape);
      if (geometry) this.parts.add(new Mesh(geometry, this.metal()));
    }
    const axes = this.plane(bay);
    this.world.labels.set('bay', [...axes, ...bay.collectors.map((c): Label => ({ key: c.name, at: c.at, text: c.name, kind: 'place' }))]);
    this.lightUp(this.near);
  }

  /** Highlights the selected obstacle and the one under the pointer; names them and those with too little clearance, whose place has a ring. */
  lightUp(name: string | null): void {
    this.near = name;
    const labels: Label[] = [];
    for (const mesh of this.things.children) {
      const keepout = mesh.userData.keepout as KeepoutView | undefined;
      const movable = mesh.userData.movable as Movable | undefined;
      const chosen = this.chosen !== null && movable?.kind === this.chosen.kind && movable.index === this.chosen.index;
      const sight = (movable && this.sights.get(`${movable.kind} ${movable.index}`)) || 'shown';
      if (!keepout) {
        const metal = (mesh as Mesh).material as MeshStandardMaterial;
        mesh.visible = sight !== 'hidden' || chosen;
        mesh.userData.opacity ??= metal.opacity;
        metal.opacity = sight === 'through' ? SEE_THROUGH : (mesh.userData.opacity as number);
        metal.transparent = metal.opacity < 1;
        metal.emissive.set(chosen ? this.world.ground.accent : 0x000000);
        metal.emissiveIntensity = 0.7;
        continue;
      }
      const material = (mesh as Mesh).material as MeshLambertMaterial;
      mesh.visible = (this.obstacles && sight !== 'hidden') || chosen;
      const lit = chosen || keepout.name === name;
      material.color.set(chosen ? this.world.ground.accent : this.keepoutColour());
      material.opacity = lit ? 0.62 : sight === 'through' ? SEE_THROUGH : keepout.shape.kind === 'mesh' ? 0.5 : 0.24;
      if (mesh.visible && (lit || keepout.short != null || this.names)) labels.push({ key: keepout.name, at: middle(mesh as Mesh), text: keepout.name, kind: keepout.short != null ? 'bad' : 'place' });
    }
    this.world.labels.set('keepouts', labels);
    this.world.draw();
  }

  private keepoutColour(): string {
    return this.world.ground.dark ? '#9aa2ab' : '#7c776c';
  }

  /** Meshes of an obstacle, by its index. */
  keepoutAt(index: number): Mesh | undefined {
    const is = (movable: Movable) => movable.kind === 'keepout' && movable.index === index;
    return this.things.children.find((c) => is(c.userData.movable as Movable)) as Mesh | undefined;
  }

  /** Shows or hides a layer. */
  show(layer: Layer, on: boolean): void {
    if (layer === 'tools') this.ways.visible = on;
    if (layer === 'ground') this.ground.visible = on;
    if (layer === 'names') this.names = on;
    if (layer === 'obstacles') this.obstacles = on;
    this.lightUp(this.near);
  }

  /** Hides a single object, or lets one see through it. */
  see(thing: Movable, sight: Sight): void {
    this.sights.set(`${thing.kind} ${thing.index}`, sight);
    this.lightUp(this.near);
  }

  /** Bounds of the selected thing. */
  boundsOf(thing: Movable): { min: Xyz; max: Xyz } | null {
    const mesh = this.meshOf(thing);
    if (!mesh) return null;
    const box = new Box3().setFromObject(mesh);
    return { min: box.min.toArray(), max: box.max.toArray() };
  }

  /** Highlights the selected thing and returns its mesh. */
  setChosen(thing: Movable | null): Mesh | null {
    this.chosen = thing;
    this.lightUp(this.near);
    return thing && (this.meshOf(thing) ?? null);
  }

  private meshOf(thing: Movable): Mesh | undefined {
    const is = (m: Movable | undefined) => m?.kind === thing.kind && m.index === thing.index;
    return this.things.children.find((c) => is(c.userData.movable as Movable)) as Mesh | undefined;
  }

  /** Whether a thing is moved by its coordinates; a scan is aligned instead. */
  canMove(mesh: Mesh): boolean {
    return (mesh.userData.keepout as KeepoutView | undefined)?.shape.kind !== 'mesh';
  }

  /** Where a thing is gripped. */
  placeOf(thing: Movable): Xyz {
    if (thing.kind === 'port') return this.bay?.ports[thing.index]?.at ?? [0, 0, 0];
    if (thing.kind === 'collector') return this.bay?.collectors[thing.index]?.at ?? [0, 0, 0];
    const mesh = this.meshOf(thing);
    return mesh ? middle(mesh) : [0, 0, 0];
  }

  private put(mesh: Mesh, movable: Movable): void {
    mesh.userData.movable = movable;
    this.things.add(mesh);
  }

  private metal(): MeshStandardMaterial {
    return new MeshStandardMaterial({ color: this.world.ground.dark ? '#b9c0c7' : '#5f5c55', metalness: 0.5, roughness: 0.5, side: DoubleSide });
  }

  private flange(at: Xyz, axis: Xyz, od: number): Mesh {
    const ring = new Mesh(new TorusGeometry(od / 2 + 2.5, 3, 12, 48), this.metal());
    ring.position.set(...at);
    ring.quaternion.setFromUnitVectors(new Vector3(0, 0, 1), new Vector3(...axis).normalize());
    return ring;
  }

  /** A collector with its body as it is made; one of which nothing is known as a stub of a cone. */
  private collector(c: CollectorView): Mesh {
    const mesh = this.collectorBody(c);
    for (const inlet of c.inlets) {
      const ring = this.flange(inlet.at, c.axis, c.od - 3);
      ring.userData.part = true;
      mesh.add(ring);
    }
    return mesh;
  }

  private collectorBody(c: CollectorView): Mesh {
    const [first, ...others] = c.body.flatMap((shape) => solid(shape) ?? []);
    if (first) {
      // The tubes of a merge are its body too: those that are routed are drawn over it.
      const behind = () => Object.assign(this.metal(), { polygonOffset: true, polygonOffsetFactor: 2, polygonOffsetUnits: 2 });
      const mesh = new Mesh(first, behind());
      for (const other of others) {
        const part = new Mesh(other, behind());
        part.userData.part = true;
        mesh.add(part);
      }
      return mesh;
    }
    const at = new Vector3(...c.at);
    const reach = Math.max(...c.inlets.map((i) => at.distanceTo(new Vector3(...i.at))), 0) + c.od / 2;
    const length = reach * 2.2;
    const axis = new Vector3(...c.axis).normalize();
    const end = at.addScaledVector(axis, length).toArray();
    const body = along(c.at, end, (size) => new CylinderGeometry(c.od * 0.75, reach, size, 48, 1, true));
    const mesh = new Mesh(body, this.metal());
    (mesh.material as MeshStandardMaterial).transparent = true;
    (mesh.material as MeshStandardMaterial).opacity = 0.55;
    return mesh;
  }

  private keepout(keepout: KeepoutView, index: number): void {
    // One pass: with a single colour the drawing order of its sides does not matter.
    const material = new MeshLambertMaterial({
      color: this.keepoutColour(), transparent: true, opacity: 0.24, side: DoubleSide, forceSinglePass: true, depthWrite: keepout.shape.kind === 'mesh',
    });
    const mesh = new Mesh(solid(keepout.shape) ?? new BufferGeometry(), material);
    mesh.userData.keepout = keepout;
    this.put(mesh, { kind: 'keepout', index });
    if (keepout.shape.kind === 'mesh') void this.scan(keepout.shape, mesh);
  }

  /** Loads a scan; reloads it when its bounds show that it has moved. */
  private async scan(shape: Extract<ShapeView, { kind: 'mesh' }>, mesh: Mesh): Promise<void> {
    const key = JSON.stringify(shape);
    let scan = this.scans.get(key);
    if (!scan) {
      try {
        const geometry = readMesh(await this.fetchScan(shape.file));
        scan = { geometry, coarse: coarseIndex(geometry) };
      } catch {
        return; // The panel says what is wrong with a scan; the bay goes without it.
      }
      this.scans.set(key, scan);
    }
    // A copy, since the layer frees what it shows.
    mesh.geometry = new BufferGeometry().copy(scan.geometry);
    mesh.userData.indices = [mesh.geometry.index, scan.coarse.clone()];
    this.world.draw();
  }

  /** Draws scans coarse or with all triangles. */
  setCoarse(coarse: boolean): void {
    for (const { geometry, userData } of this.things.children as Mesh[]) {
      const indices = userData.indices as [BufferAttribute, BufferAttribute] | undefined;
      if (indices) geometry.setIndex(indices[coarse ? 1 : 0]);
    }
  }

  private way(from: number[], to: number[], radius: number): void {
    const material = new MeshStandardMaterial({ color: this.world.ground.accent, transparent: true, opacity: 0.18, depthWrite: false });
    this.ways.add(new Mesh(along(from, to, (size) => new CylinderGeometry(radius, radius, size, 20)), material));
  }

  /** A plane below everything, its lines 100 mm apart, and the names of the directions. */
  private plane(bay: BayView): Label[] {
    const [min, max] = [bay.bounds.min, bay.bounds.max];
    const size = Math.ceil((Math.max(max[0] - min[0], max[1] - min[1]) * 1.1) / 200) * 200;
    const color = this.world.ground.dark ? 0x4a5057 : 0xcfc6b2;
    const grid = new GridHelper(size, size / 100, color, color);
    grid.rotation.x = Math.PI / 2;
    const low = min[2] - 20;
    grid.position.set((min[0] + max[0]) / 2, (min[1] + max[1]) / 2, low);
    this.ground.add(grid as unknown as LineSegments);
    const corner: Xyz = [grid.position.x + size / 2, grid.position.y - size / 2, low];
    const reach = Math.max(size * 0.12, 80);
    const ends: [string, Xyz][] = [
      [this.words.front, [corner[0] + reach, corner[1], low]],
      [this.words.left, [corner[0], corner[1] + reach, low]],
      [this.words.up, [corner[0], corner[1], low + reach]],
    ];
    for (const [, end] of ends) this.arrow(corner, end);
    return ends.map(([text, end]) => ({ key: `axis ${text}`, at: end.map((v, i) => v + (v - corner[i]!) * 0.25) as Xyz, text, kind: 'axis' }));
  }

  private arrow(from: Xyz, to: Xyz): void {
    const geometry = new BufferGeometry();
    geometry.setAttribute('position', new Float32BufferAttribute([...from, ...to], 3));
    this.ground.add(new LineSegments(geometry, new LineBasicMaterial({ color: this.world.ground.ink })));
    const size = new Vector3(...to).distanceTo(new Vector3(...from)) * 0.12;
    const head = new Mesh(new ConeGeometry(size / 3, size, 16), new MeshStandardMaterial({ color: this.world.ground.ink }));
    head.position.set(...to);
    head.quaternion.setFromUnitVectors(new Vector3(0, 1, 0), new Vector3(...to).sub(new Vector3(...from)).normalize());
    this.ground.add(head);
  }

  /** Bounds of what the user looks at: ports, collectors and the ends of the runs, not the far ends of rails. */
  focus(points: readonly Xyz[]): BayView['bounds'] | null {
    const all = [...points, ...(this.bay?.ports.map((p) => p.at) ?? []), ...(this.bay?.collectors.map((c) => c.at) ?? [])];
    if (all.length === 0) return this.bay?.bounds ?? null;
    const corner = (choose: (...n: number[]) => number, margin: number): Xyz => {
      const along = (axis: 0 | 1 | 2) => choose(...all.map((p) => p[axis])) + margin;
      return [along(0), along(1), along(2)];
    };
    return { min: corner(Math.min, -MARGIN_MM), max: corner(Math.max, MARGIN_MM) };
  }
}

function middle(mesh: Mesh): Xyz {
  mesh.geometry.computeBoundingBox();
  return mesh.geometry.boundingBox?.getCenter(new Vector3()).toArray() ?? [0, 0, 0];
}
