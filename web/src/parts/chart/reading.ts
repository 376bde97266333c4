/** Where pointer and arrow keys stand on what a chart lets one read off. */
import { bisectCenter } from 'd3-array';
import type { Place, Reading } from './marks';

/** Index along the curve, or along x and y of the raster. */
export interface Stand { i: number; k: number }

/** How many keys of `PageUp` or with Shift go at once. */
const LEAP = 10;

const counts = (reading: Reading): [number, number] => (reading.of === 'curve' ? [reading.points.length, 1] : [reading.x.length, reading.y.length]);
const inside = (index: number, count: number) => Math.min(Math.max(index, 0), count - 1);

/** The place in the chart that `stand` names; `null` when there is nothing to read. */
export function placeOf(reading: Reading, { i, k }: Stand): Place | null {
  if (reading.of === 'curve') return reading.points[i] ?? null;
  const [x, y] = [reading.x[i], reading.y[k]];
  return x === undefined || y === undefined ? null : [x, y];
}

/** The point or crossing nearest to a place in the chart. */
export function nearest(reading: Reading, [x, y]: Place): Stand {
  if (reading.of === 'curve') return { i: bisectCenter(reading.points.map(([at]) => at), x), k: 0 };
  return { i: bisectCenter(reading.x, x), k: bisectCenter(reading.y, y) };
}

/** `stand` moved by a key; `null` when the key is none of the chart's. Left and right go along x, up and down along y. */
export function moved(reading: Reading, { i, k }: Stand, key: string, shift: boolean): Stand | null {
  const [across, up] = counts(reading);
  const by = shift ? LEAP : 1;
  const to = (i2: number, k2: number): Stand => ({ i: inside(i2, across), k: inside(k2, up) });
  const level = reading.of === 'curve';
  switch (key) {
    case 'ArrowRight': return to(i + by, k);
    case 'ArrowLeft': return to(i - by, k);
    case 'ArrowUp': return level ? to(i + by, k) : to(i, k + by);
    case 'ArrowDown': return level ? to(i - by, k) : to(i, k - by);
    case 'PageUp': return to(i + LEAP, k);
    case 'PageDown': return to(i - LEAP, k);
    case 'Home': return to(0, k);
    case 'End': return to(across - 1, k);
    default: return null;
  }
}

/** `stand` inside what there is now: answers are replaced while one reads. */
export function kept(reading: Reading, { i, k }: Stand): Stand {
  const [across, up] = counts(reading);
  return { i: inside(i, across), k: inside(k, up) };
}
