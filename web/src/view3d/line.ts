/** Places along the sampled centreline of a run. */
import type { LineView, RunView, Xyz } from '../api/schema';

/** The place `at` mm from the port. */
export function placeAt(line: LineView, at: number): Xyz {
  const [index, share] = between(line.at_mm, at);
  const a = line.xyz[index] ?? [0, 0, 0];
  const b = line.xyz[index + 1] ?? a;
  return [a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share, a[2] + (b[2] - a[2]) * share];
}

/** The clearance `at` mm from the port; null where it is unknown. */
export function gapAt(line: LineView, at: number): number | null {
  const [index, share] = between(line.at_mm, at);
  const a = line.gap_mm?.[index];
  const b = line.gap_mm?.[index + 1] ?? a;
  return a === undefined || b === undefined ? null : a + (b - a) * share;
}

/** The place along the centreline that is nearest to a point: mm from the port and mm away. */
export function nearestOn(line: LineView, point: Xyz): { at: number; away: number } {
  let best = { at: 0, away: Infinity };
  for (let i = 0; i + 1 < line.xyz.length; i++) {
    const a = line.xyz[i]!;
    const b = line.xyz[i + 1]!;
    const along: Xyz = [b[0] - a[0], b[1] - a[1], b[2] - a[2]];
    const square = along[0] ** 2 + along[1] ** 2 + along[2] ** 2;
    const dot = (point[0] - a[0]) * along[0] + (point[1] - a[1]) * along[1] + (point[2] - a[2]) * along[2];
    const share = square > 0 ? Math.min(Math.max(dot / square, 0), 1) : 0;
    const away = Math.hypot(
      a[0] + along[0] * share - point[0],
      a[1] + along[1] * share - point[1],
      a[2] + along[2] * share - point[2],
    );
    if (away < best.away) best = { at: line.at_mm[i]! + (line.at_mm[i + 1]! - line.at_mm[i]!) * share, away };
  }
  return best;
}

/** Unit direction of the flow `at` mm from the port. */
export function tangentAt(line: LineView, at: number): Xyz {
  const [a, b] = [placeAt(line, at - 1), placeAt(line, at + 1)];
  const by: Xyz = [b[0] - a[0], b[1] - a[1], b[2] - a[2]];
  const length = Math.hypot(...by) || 1;
  return [by[0] / length, by[1] / length, by[2] / length];
}

/** The direction that clocks are counted from, and the one at 90 degrees: up, on a tube within 8 degrees of vertical the front. */
function clockFace(flow: Xyz): [Xyz, Xyz] {
  const from: Xyz = Math.abs(flow[2]) < 0.99 ? [0, 0, 1] : [1, 0, 0];
  const along = from[0] * flow[0] + from[1] * flow[1] + from[2] * flow[2];
  const across: Xyz = [from[0] - along * flow[0], from[1] - along * flow[1], from[2] - along * flow[2]];
  const length = Math.hypot(...across) || 1;
  const zero: Xyz = [across[0] / length, across[1] / length, across[2] / length];
  const quarter: Xyz = [flow[1] * zero[2] - flow[2] * zero[1], flow[2] * zero[0] - flow[0] * zero[2], flow[0] * zero[1] - flow[1] * zero[0]];
  return [zero, quarter];
}

/** Where a point on a tube looks, degrees clockwise from up for one who looks downstream. */
export function clockAt(line: LineView, at: number, point: Xyz): number {
  const centre = placeAt(line, at);
  const out: Xyz = [point[0] - centre[0], point[1] - centre[1], point[2] - centre[2]];
  const [zero, quarter] = clockFace(tangentAt(line, at));
  const on = (axis: Xyz) => out[0] * axis[0] + out[1] * axis[1] + out[2] * axis[2];
  return (Math.atan2(on(quarter), on(zero)) * 180) / Math.PI;
}

/** The point of a tube's outside `at` mm from the port that looks along a clock, degrees. */
export function onTube(line: LineView, radius: number, at: number, clock: number): Xyz {
  const centre = placeAt(line, at);
  const [zero, quarter] = clockFace(tangentAt(line, at));
  const [cos, sin] = [Math.cos((clock * Math.PI) / 180), Math.sin((clock * Math.PI) / 180)];
  const part = (i: 0 | 1 | 2) => centre[i] + radius * (cos * zero[i] + sin * quarter[i]);
  return [part(0), part(1), part(2)];
}

/** The bend whose element covers `at`, counted from 1 as the intersection points are; null on a straight. */
export function bendAt(run: RunView, at: number): number | null {
  let bend = 0;
  for (const element of run.elements) {
    if (element.kind === 'bend') bend += 1;
    if (at >= element.from_mm && at <= element.to_mm) return element.kind === 'bend' ? bend : null;
  }
  return null;
}

function between(stations: number[], at: number): [number, number] {
  let low = 0;
  let high = stations.length - 1;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (stations[middle]! <= at) low = middle;
    else high = middle;
  }
  const from = stations[low] ?? 0;
  const to = stations[high] ?? from;
  return [low, to > from ? Math.min(Math.max((at - from) / (to - from), 0), 1) : 0];
}
