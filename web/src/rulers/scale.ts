/** The common scale of all rulers. */
import type { RoutesView } from '../api/schema';

/** Steps of a scale in mm: in inches, whole inches. */
const STEPS = { mm: [10, 20, 50, 100, 200, 500, 1000], in: [1, 2, 4, 6, 12, 24].map((n) => n * 25.4) };

/** Places of the marks on the scale, mm, at least `apart` pixels from one another. */
export function ticks(scale: Scale, units: 'mm' | 'in', apart = 56): number[] {
  const step = STEPS[units].find((s) => s * scale.pxPerMm >= apart) ?? STEPS[units].at(-1)!;
  const count = Math.floor(scale.width / scale.pxPerMm / step);
  return Array.from({ length: count + 1 }, (_, i) => i * step);
}

/** What stands at a mark: whole mm or whole inches. */
export const tickText = (at: number, units: 'mm' | 'in') => String(Math.round(units === 'in' ? at / 25.4 : at));

export interface Scale {
  pxPerMm: number;
  width: number;
}

/** Fits the longest run or the target, whichever is longer, into a width in pixels. */
export function scaleOf(routes: RoutesView | null, width: number): Scale {
  const longest = Math.max(routes?.target_mm ?? 0, ...(routes?.runs.map((r) => r.length_mm) ?? []), 1);
  return { pxPerMm: width / (longest * 1.02), width };
}
