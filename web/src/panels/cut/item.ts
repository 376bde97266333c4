/** Geometry of an item of stock laid flat: its centreline, and the bands and lines drawn on it. */
import type { ItemShapeView } from '../../api/schema';

/** A point on the flat item, mm, and the direction of the tube there, rad. */
export interface Flat {
  x: number;
  y: number;
  heading: number;
}

/** Longest chord turn of a drawn arc, rad. */
const TURN = Math.PI / 60;

/** The centreline at `s` mm from the item's end 0: leg along x, arc to the left, leg. */
export function flatAt(shape: ItemShapeView, s: number): Flat {
  if (shape.kind === 'straight') return { x: s, y: 0, heading: 0 };
  const angle = (shape.angle_deg * Math.PI) / 180;
  const [first] = shape.legs;
  const arc = shape.clr * angle;
  if (s <= first) return { x: s, y: 0, heading: 0 };
  const turned = Math.min((s - first) / shape.clr, angle);
  const x = first + shape.clr * Math.sin(turned);
  const y = shape.clr * (1 - Math.cos(turned));
  const beyond = Math.max(s - first - arc, 0);
  return { x: x + beyond * Math.cos(turned), y: y + beyond * Math.sin(turned), heading: turned };
}

/** Places along a stretch, close enough together in the arc. */
export function stationsOf(shape: ItemShapeView, from: number, to: number): number[] {
  if (shape.kind === 'straight') return [from, to];
  const [begins] = shape.legs;
  const ends = begins + (shape.clr * shape.angle_deg * Math.PI) / 180;
  const step = shape.clr * TURN;
  const inner: number[] = [];
  for (let s = Math.max(from, begins); s < Math.min(to, ends); s += step) inner.push(s);
  return [...new Set([from, ...inner, ...[begins, ends].filter((s) => s > from && s < to), to])].sort((a, b) => a - b);
}

/** Tangent lines of a bend: name and place along the item, mm. */
export function tangentLines(shape: ItemShapeView): [string, number][] {
  if (shape.kind === 'straight') return [];
  const [first, second] = shape.legs;
  return [['T1', first], ['T2', shape.length - second]];
}

/** A place beside the centreline, `side` mm to the left. */
export function beside(shape: ItemShapeView, s: number, side: number): [number, number] {
  const { x, y, heading } = flatAt(shape, s);
  return [x - Math.sin(heading) * side, y + Math.cos(heading) * side];
}

/** The outline of a stretch of tube, from and to along the item, as an SVG path. */
export function band(shape: ItemShapeView, stretch: readonly [number, number], half: number): string {
  const stations = stationsOf(shape, ...stretch);
  const left = stations.map((s) => beside(shape, s, half));
  const right = stations.map((s) => beside(shape, s, -half)).reverse();
  return `M${[...left, ...right].map(([x, y]) => `${x.toFixed(2)} ${y.toFixed(2)}`).join('L')}Z`;
}

/** Bounding box of an item: x, y, width, height, with a margin. */
export function boxOf(shape: ItemShapeView, half: number, margin: number): [number, number, number, number] {
  const corners = stationsOf(shape, 0, shape.length).flatMap((s) => [beside(shape, s, half), beside(shape, s, -half)]);
  const xs = corners.map(([x]) => x);
  const ys = corners.map(([, y]) => y);
  const [x, y] = [Math.min(...xs) - margin, Math.min(...ys) - margin];
  return [x, y, Math.max(...xs) + margin - x, Math.max(...ys) + margin - y];
}
