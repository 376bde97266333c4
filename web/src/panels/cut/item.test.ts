import { expect, test } from 'vitest';
import type { ItemShapeView } from '../../api/schema';
import { band, boxOf, flatAt, stationsOf, tangentLines } from './item';

const bend: ItemShapeView = { kind: 'bend', clr: 100, angle_deg: 180, legs: [50, 80], length: 50 + Math.PI * 100 + 80 };

test('a U comes back beside itself', () => {
  const end = flatAt(bend, bend.length);
  expect(end.x).toBeCloseTo(50 - 80);
  expect(end.y).toBeCloseTo(200);
  expect(end.heading).toBeCloseTo(Math.PI);
});

test('the drawn arc is as long as the true one within a tenth of a per cent', () => {
  const places = stationsOf(bend, 0, bend.length).map((s) => flatAt(bend, s));
  const drawn = places.slice(1).reduce((sum, p, i) => sum + Math.hypot(p.x - places[i]!.x, p.y - places[i]!.y), 0);
  expect(drawn / bend.length).toBeGreaterThan(0.999);
  expect(drawn).toBeLessThanOrEqual(bend.length);
});

test('the box holds the outside of the bend', () => {
  const [x, y, width, height] = boxOf(bend, 20, 0);
  expect(x).toBeCloseTo(-30);
  expect(y).toBeCloseTo(-20);
  expect(width).toBeCloseTo(200, 0);
  expect(height).toBeCloseTo(240);
});

test('a band of a straight is a rectangle', () => {
  expect(band({ kind: 'straight', length: 10 }, [0, 10], 2)).toBe('M0.00 2.00L10.00 2.00L10.00 -2.00L0.00 -2.00Z');
});

test('tangent lines lie where the legs meet the arc', () => {
  expect(tangentLines(bend)).toEqual([['T1', 50], ['T2', 50 + Math.PI * 100]]);
  expect(tangentLines({ kind: 'straight', length: 900 })).toEqual([]);
});
