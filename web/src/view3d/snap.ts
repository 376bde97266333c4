/** Snapping of a dragged intersection point: heights of its neighbours, their plane, bend angles in steps of 15 degrees. */
import type { Xyz } from '../api/schema';

/** Snap distance, mm. */
export const CATCH_MM = 4;

const TURN_STEP = Math.PI / 12;

/**
 * The snapped point, or the point itself; the first match wins. `points` are all points of the run, `index` the
 * one that is dragged.
 */
export function snap(points: readonly Xyz[], index: number, to: Xyz): Xyz {
  const at = (i: number) => points[i];
  const [prev, next] = [at(index - 1), at(index + 1)];
  if (!prev || !next) return to;
  const beyond = at(index + 2) ?? at(index - 2);
  return catchAxes(to, [prev, next]) ?? (beyond && catchPlane(to, prev, next, beyond)) ?? catchTurn(to, prev, next) ?? to;
}

function catchAxes(to: Xyz, others: Xyz[]): Xyz | undefined {
  const caught = to.map((value, axis) => {
    const away = (o: Xyz) => Math.abs(o[axis]! - value);
    return others.find((o) => away(o) > 0 && away(o) < CATCH_MM)?.[axis];
  });
  return caught.some((c) => c !== undefined) ? (to.map((value, axis) => caught[axis] ?? value) as Xyz) : undefined;
}

function catchPlane(to: Xyz, a: Xyz, b: Xyz, c: Xyz): Xyz | undefined {
  const normal = cross(sub(b, a), sub(c, a));
  const size = length(normal);
  if (size < 1) return undefined;
  const unit = scale(normal, 1 / size);
  const away = dot(sub(to, a), unit);
  return Math.abs(away) < CATCH_MM ? sub(to, scale(unit, away)) : undefined;
}

/** Moves the point square to the chord of its neighbours until the turn there is a whole number of 15 degrees. */
function catchTurn(to: Xyz, prev: Xyz, next: Xyz): Xyz | undefined {
  const chord = sub(next, prev);
  const size = length(chord);
  if (size < 1) return undefined;
  const along = scale(chord, 1 / size);
  const before = dot(sub(to, prev), along);
  const after = size - before;
  const foot = add(prev, scale(along, before));
  const offset = sub(to, foot);
  const height = length(offset);
  if (height < 1 || before <= 0 || after <= 0) return undefined;
  const turn = Math.round(turnAt(height, before, after) / TURN_STEP) * TURN_STEP;
  if (turn <= 0 || turn >= Math.PI) return undefined;
  const wanted = heightOf(turn, before, after);
  return Math.abs(wanted - height) < CATCH_MM ? add(foot, scale(offset, wanted / height)) : undefined;
}

/** Turn at a point `height` off the chord, with its foot `before` and `after` from the ends, rad. */
export function turnAt(height: number, before: number, after: number): number {
  return Math.atan2(height, before) + Math.atan2(height, after);
}

/** The height at which the turn is just that, by halving. */
function heightOf(turn: number, before: number, after: number): number {
  let low = 0;
  let high = 1e5;
  for (let round = 0; round < 60; round++) {
    const middle = (low + high) / 2;
    if (turnAt(middle, before, after) < turn) low = middle;
    else high = middle;
  }
  return low;
}

const add = (a: Xyz, b: Xyz): Xyz => [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
const sub = (a: Xyz, b: Xyz): Xyz => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
const scale = (a: Xyz, by: number): Xyz => [a[0] * by, a[1] * by, a[2] * by];
const dot = (a: Xyz, b: Xyz): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const length = (a: Xyz): number => Math.hypot(a[0], a[1], a[2]);
const cross = (a: Xyz, b: Xyz): Xyz => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
