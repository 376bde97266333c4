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
