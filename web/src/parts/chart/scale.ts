/** Scales of a chart: domains from its marks, round ticks and their labels. */
import { extent, nice, ticks } from 'd3-array';
import type { Axis, Mark, Raster } from './marks';

export type Domain = readonly [low: number, high: number];

/** A straight scale from `domain` to pixels; falls when `to` is less than `from`. */
export function linear([low, high]: Domain, from: number, to: number): (value: number) => number {
  return (value) => from + ((value - low) / (high - low)) * (to - from);
}

/** Every x, or every y, that `mark` must have room for. */
function reach(mark: Mark, of: 'x' | 'y'): number[] {
  if (mark.kind === 'rules') return mark.along === of ? [...mark.at] : [];
  if (mark.kind === 'area') return mark.bands.flatMap(([x, low, high]) => (of === 'x' ? [x] : [low, high]));
  return mark.points.map(([x, y]) => (of === 'x' ? x : y));
}

/** Least and greatest of `values`, never the same. Without any: 0 to 1. */
function spread(values: number[]): Domain {
  const [low, high] = extent(values.filter(Number.isFinite));
  if (low === undefined || high === undefined) return [0, 1];
  return low < high ? [low, high] : [low - 0.5, high + 0.5];
}

/** Where the cells of a raster begin and end along one axis: halfway to each neighbour. */
export function edges(places: readonly number[]): number[] {
  const between = places.slice(1).map((place, i) => (place + places[i]!) / 2);
  const [first, last] = [places[0], places.at(-1)];
  if (first === undefined || last === undefined) return [];
  return [2 * first - (between[0] ?? first + 0.5), ...between, 2 * last - (between.at(-1) ?? last - 0.5)];
}

/** Domain of an axis: as given, or what the marks and the raster need; the upright one is rounded to `count` ticks. */
export function domainOf(axis: Axis, of: 'x' | 'y', marks: readonly Mark[], raster: Raster | null, count: number): Domain {
  if (axis.domain) return axis.domain;
  const needed = spread([...marks.flatMap((mark) => reach(mark, of)), ...(raster ? edges(raster[of]) : [])]);
  return of === 'y' && !raster ? nice(needed[0], needed[1], count) : needed;
}

/** Ticks inside the domain, as given or about `count` round ones, with labels of equal decimals. */
export function ticksOf(axis: Axis, [low, high]: Domain, count: number): { at: number; text: string }[] {
  const places = axis.ticks?.filter((at) => at >= low && at <= high) ?? ticks(low, high, count);
  const step = Math.min(...places.slice(1).map((at, i) => at - places[i]!));
  const decimals = Number.isFinite(step) ? Math.max(0, -Math.floor(Math.log10(step) + 1e-9)) : 0;
  return places.map((at) => ({ at, text: at.toFixed(decimals).replace('-', '−') }));
}
