/** Paints a raster pixel by pixel, each in the colour of the nearest crossing. */
import { bisectCenter } from 'd3-array';
import { viridis } from '../../view3d/palette';
import type { Raster } from './marks';
import { linear, type Domain } from './scale';

/** Steps of colour between the least and the greatest value. */
const SHADES = 256;

/** Index of the nearest of `places` for each of `pixels` pixels from `from` to `to`. */
function nearestOfEach(places: readonly number[], from: number, to: number, pixels: number): number[] {
  const at = linear([0, pixels], from, to);
  return Array.from({ length: pixels }, (_, pixel) => bisectCenter(places, at(pixel + 0.5)));
}

/** RGBA bytes, row by row from the top, of a raster over `x` and `y`. A value that is not a number stays clear. */
export function paint({ x, y, values }: Raster, over: { x: Domain; y: Domain }, width: number, height: number): Uint8ClampedArray<ArrayBuffer> {
  const all = values.flat().filter(Number.isFinite);
  const low = all.reduce((a, b) => Math.min(a, b), Infinity);
  const high = all.reduce((a, b) => Math.max(a, b), -Infinity);
  const shades = Array.from({ length: SHADES }, (_, i) => viridis(1 - i / (SHADES - 1)));
  const columns = nearestOfEach(x, over.x[0], over.x[1], width);
  const rows = nearestOfEach(y, over.y[1], over.y[0], height);
  const pixels = new Uint8ClampedArray(4 * width * height);
  rows.forEach((k, row) => columns.forEach((i, column) => {
    const value = values[i]?.[k];
    if (value === undefined || !Number.isFinite(value)) return;
    const shade = high > low ? (value - low) / (high - low) : 0;
    pixels.set([...shades[Math.round(shade * (SHADES - 1))]!, 255], 4 * (row * width + column));
  }));
  return pixels;
}
