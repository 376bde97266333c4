/** What a chart draws, as plain data; places are in the units of its axes. */
export type Place = readonly [x: number, y: number];
export type Band = readonly [x: number, low: number, high: number];

export interface Line { kind: 'line'; points: readonly Place[]; stroke: string; width: number; dash?: string; smooth?: boolean }
export interface Area { kind: 'area'; bands: readonly Band[]; fill: string; opacity: number }
export interface Dots { kind: 'dots'; points: readonly Place[]; radius: number; fill?: string; stroke?: string; width?: number }
/** Lines right across the chart: upright ones at places of x, level ones at places of y. */
export interface Rules { kind: 'rules'; along: 'x' | 'y'; at: readonly number[]; stroke: string; width: number; dash?: string }
export type Mark = Line | Area | Dots | Rules;

/** A value at every crossing of `x` and `y`, both rising: `values[i][k]` belongs to `x[i]` and `y[k]`. Dark is greatest. */
export interface Raster { x: readonly number[]; y: readonly number[]; values: readonly (readonly number[])[] }

export interface Axis { label: string; domain?: readonly [number, number]; ticks?: readonly number[] }

/** What pointer and arrow keys read off: the points of a curve, or the crossings of a raster. `say` puts one into words. */
export type Reading =
  | { of: 'curve'; points: readonly Place[]; say: (i: number) => string }
  | { of: 'raster'; x: readonly number[]; y: readonly number[]; say: (i: number, k: number) => string };
