/** The one scale of all rulers. */
import type { RoutesView } from '../api/schema';

export interface Scale {
  pxPerMm: number;
  width: number;
}

/** So many pixels for the longest run or the target, whichever is longer. */
export function scaleOf(routes: RoutesView | null, width: number): Scale {
  const longest = Math.max(routes?.target_mm ?? 0, ...(routes?.runs.map((r) => r.length_mm) ?? []), 1);
  return { pxPerMm: width / (longest * 1.02), width };
}
