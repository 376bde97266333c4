import { expect, test } from 'vitest';
import type { LineView, Xyz } from '../api/schema';
import { gapAt, nearestOn, placeAt } from './line';
import { gapColour, inkOn, RUN_COLOURS, runColour } from './palette';
import { snap, turnAt } from './snap';

const line: LineView = { at_mm: [0, 100, 300], xyz: [[0, 0, 0], [100, 0, 0], [100, 200, 0]], gap_mm: [10, 20, 50] };

test('places along a line', () => {
  expect(placeAt(line, 50)).toEqual([50, 0, 0]);
  expect(placeAt(line, 200)).toEqual([100, 100, 0]);
  expect(placeAt(line, 999)).toEqual([100, 200, 0]);
  expect(gapAt(line, 50)).toBe(15);
  expect(nearestOn(line, [130, 100, 0])).toEqual({ at: 200, away: 30 });
});

test('a turn near a right angle catches at it', () => {
  const points: Xyz[] = [[0, 0, 0], [99, 99, 0], [200, 0, 0]];
  const caught = snap(points, 1, [100, 98, 0]);
  expect(caught[1]).toBeCloseTo(100);
  expect(turnAt(100, 100, 100)).toBeCloseTo(Math.PI / 2);
});

test('a point near the height of its neighbour takes it', () => {
  const points: Xyz[] = [[0, 0, 50], [0, 60, 0], [300, 90, 0]];
  expect(snap(points, 1, [70, 60, 2])[2]).toBe(0);
  expect(snap(points, 1, [70, 140, 30])[2]).toBeCloseTo(30, 0);
});

test('colours', () => {
  expect(new Set(RUN_COLOURS).size).toBe(RUN_COLOURS.length);
  expect(runColour(1)).toBe(runColour(RUN_COLOURS.length + 1));
  expect(inkOn('#f0e442')).toBe('#0d0c0b');
  expect(inkOn('#0072b2')).toBe('#ffffff');
  expect(gapColour(0)).not.toBe(gapColour(1000));
  expect(gapColour(1000)).toBe(gapColour(40));
});
