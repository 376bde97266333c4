import { describe, expect, it } from 'vitest';
import type { Raster, Reading } from './marks';
import { paint } from './paint';
import { areaPath, linePath, slopesOf } from './path';
import { kept, moved, nearest, placeOf } from './reading';
import { domainOf, edges, linear, ticksOf } from './scale';

describe('scales', () => {
  it('maps a domain to pixels, downwards too', () => {
    const up = linear([100, 300], 200, 0);
    expect([up(100), up(200), up(300)]).toEqual([200, 100, 0]);
  });

  it('takes the domain given, or what every mark needs', () => {
    const marks = [
      { kind: 'line', points: [[2000, 81], [6000, 118]], stroke: 'red', width: 1 },
      { kind: 'area', bands: [[2500, 72, 90]], fill: 'red', opacity: 1 },
      { kind: 'rules', along: 'x', at: [6500], stroke: 'red', width: 1 },
    ] as const;
    expect(domainOf({ label: '', domain: [0, 720] }, 'x', marks, null, 5)).toEqual([0, 720]);
    expect(domainOf({ label: '' }, 'x', marks, null, 5)).toEqual([2000, 6500]);
    expect(domainOf({ label: '' }, 'y', marks, null, 5)).toEqual([70, 120]);
  });

  it('has room without marks and around a single value', () => {
    expect(domainOf({ label: '' }, 'x', [], null, 5)).toEqual([0, 1]);
    const one = [{ kind: 'rules', along: 'x', at: [7], stroke: 'red', width: 1 }] as const;
    expect(domainOf({ label: '' }, 'x', one, null, 5)).toEqual([6.5, 7.5]);
  });

  it('ends the cells of a raster halfway between unevenly spaced places', () => {
    expect(edges([1, 3, 7])).toEqual([0, 2, 5, 9]);
    expect(edges([4])).toEqual([3.5, 4.5]);
    expect(edges([])).toEqual([]);
  });

  it('labels ticks with equal decimals, a true minus, and only inside the domain', () => {
    expect(ticksOf({ label: '' }, [-1, 1], 4).map((tick) => tick.text)).toEqual(['−1.0', '−0.5', '0.0', '0.5', '1.0']);
    expect(ticksOf({ label: '' }, [2000, 6000], 5).map((tick) => tick.text)).toEqual(['2000', '3000', '4000', '5000', '6000']);
    expect(ticksOf({ label: '', ticks: [0, 180, 900] }, [0, 720], 5).map((tick) => tick.at)).toEqual([0, 180]);
    expect(ticksOf({ label: '' }, [0, 0.3], 3).map((tick) => tick.text)).toEqual(['0.0', '0.1', '0.2', '0.3']);
  });
});

const map: Raster = { x: [10, 20, 40], y: [1, 2], values: [[0, 1], [2, 3], [4, NaN]] };
const overMap: Reading = { of: 'raster', x: map.x, y: map.y, say: (i, k) => `${map.x[i]} and ${map.y[k]}` };
const curve: Reading = { of: 'curve', points: [[0, 5], [10, 7], [20, 6]], say: (i) => `point ${i}` };

describe('reading', () => {
  it('finds the nearest point of a curve and the nearest crossing of a raster', () => {
    expect(nearest(curve, [14, 0])).toEqual({ i: 1, k: 0 });
    expect(nearest(overMap, [31, 1.2])).toEqual({ i: 2, k: 0 });
    expect(placeOf(overMap, { i: 2, k: 1 })).toEqual([40, 2]);
  });

  it('moves by keys, up along a curve as right, and stops at the ends', () => {
    expect(moved(curve, { i: 1, k: 0 }, 'ArrowUp', false)).toEqual({ i: 2, k: 0 });
    expect(moved(curve, { i: 1, k: 0 }, 'ArrowRight', true)).toEqual({ i: 2, k: 0 });
    expect(moved(overMap, { i: 1, k: 0 }, 'ArrowUp', false)).toEqual({ i: 1, k: 1 });
    expect(moved(overMap, { i: 1, k: 1 }, 'Home', false)).toEqual({ i: 0, k: 1 });
    expect(moved(curve, { i: 1, k: 0 }, 'Tab', false)).toBeNull();
  });

  it('stays inside a shorter answer, and reads nothing off an empty one', () => {
    expect(kept(curve, { i: 9, k: 0 })).toEqual({ i: 2, k: 0 });
    expect(placeOf({ ...curve, points: [] }, { i: 0, k: 0 })).toBeNull();
  });
});

describe('painting', () => {
  it('gives each pixel the nearest value, greatest dark, from the top; no number stays clear', () => {
    const pixels = paint(map, { x: [5, 45], y: [0.5, 2.5] }, 8, 2);
    const pixel = (column: number, row: number) => [...pixels.subarray(4 * (8 * row + column), 4 * (8 * row + column) + 4)];
    expect(pixel(0, 1)).toEqual([253, 231, 37, 255]);
    expect(pixel(7, 1)).toEqual([68, 1, 84, 255]);
    expect(pixel(7, 0)[3]).toBe(0);
    // Columns end halfway between 10, 20 and 40: at 15 and 30.
    expect(pixel(1, 1)).toEqual(pixel(0, 1));
    expect(pixel(2, 1)).not.toEqual(pixel(1, 1));
    expect(pixel(4, 1)).toEqual(pixel(2, 1));
    expect(pixel(5, 1)).toEqual(pixel(7, 1));
  });
});

describe('paths', () => {
  it('draws straight lines, closed bands, and nothing without points', () => {
    expect(linePath([[0, 5], [10, 7.123]])).toBe('M0 5L10 7.12');
    expect(areaPath([[0, 1], [2, 1]], [[0, 4], [2, 5]])).toBe('M0 4L2 5L2 1L0 1Z');
    expect([linePath([]), linePath([], true), areaPath([], [])]).toEqual(['', '', '']);
  });

  it('keeps a straight line straight when smooth, and does not smooth what turns back', () => {
    expect(slopesOf([[0, 0], [1, 2], [4, 8]])).toEqual([2, 2, 2]);
    expect(linePath([[0, 0], [3, 1], [2, 2]], true)).toBe('M0 0L3 1L2 2');
  });

  it('never leaves the room between two neighbours when smooth', () => {
    const points = [[0, 0], [1, 10], [2, 10.5], [3, 4], [7, 4.1], [8, 30]] as const;
    const parts = [...linePath(points, true).matchAll(/C([^C]+)/g)].map((match) => match[1]!.split(' ').map(Number));
    expect(parts).toHaveLength(5);
    parts.forEach(([, y1, , y2, x3, y3], i) => {
      const from = points[i]![1];
      expect([x3, y3]).toEqual([...points[i + 1]!]);
      for (let part = 0; part <= 1; part += 0.05) {
        const [a, b] = [1 - part, part];
        const y = a ** 3 * from + 3 * a * a * b * y1! + 3 * a * b * b * y2! + b ** 3 * y3!;
        expect(y).toBeGreaterThanOrEqual(Math.min(from, y3!) - 0.01);
        expect(y).toBeLessThanOrEqual(Math.max(from, y3!) + 0.01);
      }
    });
  });
});
