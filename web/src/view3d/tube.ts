/** Meshes from server data: tubes swept along their centreline, and the shapes of obstacles. */
import {
  BoxGeometry, BufferAttribute, BufferGeometry, CapsuleGeometry, CylinderGeometry, Matrix4, Quaternion, SphereGeometry, Vector3,
} from 'three';
import type { LineView, ShapeView, Xyz } from '../api/schema';

/** Facets around a tube. */
const SIDES = 28;

/** A tube of outside radius `radius` along a line of places, open at the ends. The frames are carried without twist. */
export function sweep(line: LineView, radius: number): BufferGeometry {
  const places = line.xyz.map((p) => new Vector3(...p));
  const rings = places.length;
  const position = new Float32Array(rings * (SIDES + 1) * 3);
  const normal = new Float32Array(position.length);
  let tangent = tangentAt(places, 0);
  let side = square(tangent);
  const out = new Vector3();
  for (let ring = 0; ring < rings; ring++) {
    const next = tangentAt(places, ring);
    side.applyQuaternion(new Quaternion().setFromUnitVectors(tangent, next));
    tangent = next;
    side = side.addScaledVector(tangent, -side.dot(tangent)).normalize();
    const up = new Vector3().crossVectors(tangent, side);
    for (let i = 0; i <= SIDES; i++) {
      const angle = (i / SIDES) * 2 * Math.PI;
      out.copy(side).multiplyScalar(Math.cos(angle)).addScaledVector(up, Math.sin(angle));
      const at = (ring * (SIDES + 1) + i) * 3;
      out.toArray(normal, at);
      out.multiplyScalar(radius).add(places[ring]!).toArray(position, at);
    }
  }
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(position, 3));
  geometry.setAttribute('normal', new BufferAttribute(normal, 3));
  geometry.setIndex(sweepIndex(rings));
  return geometry;
}

function sweepIndex(rings: number): number[] {
  const index: number[] = [];
  for (let ring = 0; ring + 1 < rings; ring++) {
    for (let i = 0; i < SIDES; i++) {
      const a = ring * (SIDES + 1) + i;
      const b = a + SIDES + 1;
      index.push(a, a + 1, b, b, a + 1, b + 1);
    }
  }
  return index;
}

/** Direction of the line at a place: between its neighbours, or along the only one at an end. */
function tangentAt(places: Vector3[], at: number): Vector3 {
  const from = places[Math.max(at - 1, 0)]!;
  const to = places[Math.min(at + 1, places.length - 1)]!;
  const tangent = new Vector3().subVectors(to, from);
  return tangent.lengthSq() > 0 ? tangent.normalize() : new Vector3(1, 0, 0);
}

/** Any unit vector square to another. */
export function square(to: Vector3): Vector3 {
  const other = Math.abs(to.z) < 0.9 ? new Vector3(0, 0, 1) : new Vector3(1, 0, 0);
  return other.cross(to).normalize();
}

/** The mesh of an obstacle; null for a scan, which is loaded separately. */
export function solid(shape: ShapeView): BufferGeometry | null {
  switch (shape.kind) {
    case 'box':
      return box(shape.center, shape.size, shape.axes);
    case 'sphere':
      return new SphereGeometry(shape.radius, 32, 20).translate(...shape.center);
    case 'cylinder':
      return along(shape.from, shape.to, (size) => new CylinderGeometry(shape.radius, shape.radius, size, 32));
    case 'cone':
      return along(shape.from, shape.to, (size) => new CylinderGeometry(shape.radii[1], shape.radii[0], size, 32));
    case 'capsule':
      return along(shape.from, shape.to, (size) => new CapsuleGeometry(shape.radius, size, 10, 28));
    case 'mesh':
      return null;
  }
}

function box(center: Xyz, size: Xyz, axes: [Xyz, Xyz, Xyz]): BufferGeometry {
  const unit = (axis: Xyz) => new Vector3(...axis).normalize();
  const turned = new Matrix4().makeBasis(unit(axes[0]), unit(axes[1]), unit(axes[2]));
  return new BoxGeometry(...size).applyMatrix4(turned).translate(...center);
}

/** A solid of revolution about the line between two places. */
export function along(from: number[], to: number[], make: (size: number) => BufferGeometry): BufferGeometry {
  const a = new Vector3(...from);
  const b = new Vector3(...to);
  const axis = b.clone().sub(a);
  const size = axis.length();
  const geometry = make(size);
  geometry.applyQuaternion(new Quaternion().setFromUnitVectors(new Vector3(0, 1, 0), axis.normalize()));
  return geometry.translate(...a.add(b).multiplyScalar(0.5).toArray());
}

/** A mesh as the server sends it: u32 vertices, u32 triangles, f32 places, u32 corners, little endian. */
export function readMesh(bytes: ArrayBuffer): BufferGeometry {
  const head = new DataView(bytes);
  const vertices = head.getUint32(0, true);
  const triangles = head.getUint32(4, true);
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(new Float32Array(bytes, 8, vertices * 3), 3));
  geometry.setIndex(new BufferAttribute(new Uint32Array(bytes, 8 + vertices * 12, triangles * 3), 1));
  geometry.computeVertexNormals();
  return geometry;
}

/** Cells along the longest side of a scan within which its vertices are drawn as one while it moves slowly. */
const CELLS = 72;

/** Far fewer triangles that look similar: those whose corners stay apart when all vertices of a cell become its first. */
export function coarseIndex(geometry: BufferGeometry): BufferAttribute {
  geometry.computeBoundingBox();
  const { min, max } = geometry.boundingBox!;
  const cell = Math.max(max.x - min.x, max.y - min.y, max.z - min.z, 1e-6) / CELLS;
  const position = geometry.getAttribute('position').array;
  const firsts = new Map<number, number>();
  const became = new Uint32Array(position.length / 3);
  const at = (value: number, from: number) => Math.floor((value - from) / cell);
  for (let v = 0; v < became.length; v++) {
    const [x, y, z] = [at(position[3 * v]!, min.x), at(position[3 * v + 1]!, min.y), at(position[3 * v + 2]!, min.z)];
    const key = (x * (CELLS + 1) + y) * (CELLS + 1) + z;
    if (!firsts.has(key)) firsts.set(key, v);
    became[v] = firsts.get(key)!;
  }
  const corners = geometry.index!.array;
  const kept: number[] = [];
  for (let t = 0; t < corners.length; t += 3) {
    const [a, b, c] = [became[corners[t]!]!, became[corners[t + 1]!]!, became[corners[t + 2]!]!];
    if (a !== b && b !== c && c !== a) kept.push(a, b, c);
  }
  return new BufferAttribute(new Uint32Array(kept), 1);
}
