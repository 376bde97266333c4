/** The common scale of all rulers. */
import type { RoutesView } from '../api/schema';

export interface Scale {
  pxPerMm: number;
  width: number;
}

/** Fits the longest run or the target, whichever is longer, into a width in pixels. */
export function scaleOf(routes: RoutesView | null, width: number): Scale {
  const longest = Math.max(routes?.target_mm ?? 0, ...(routes?.runs.map((r) => r.length_mm) ?? []), 1);
  return { pxPerMm: width / (longest * 1.02), width };
}
