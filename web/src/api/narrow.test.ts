import { expect, test } from 'vitest';
import { pair, unitsOf, xyz } from './narrow';

test('lists of the expected count pass', () => {
  expect(xyz([1, 2, 3])).toEqual([1, 2, 3]);
  expect(pair([0, 50])).toEqual([0, 50]);
});

test('lists of another count are refused with both counts', () => {
  for (const list of [[], [1, 2], [1, 2, 3, 4]]) expect(() => xyz(list)).toThrow(`list of ${list.length} numbers; expected 3`);
  for (const list of [[1], [1, 2, 3]]) expect(() => pair(list)).toThrow(`list of ${list.length} numbers; expected 2`);
});

test('units are mm or in', () => {
  expect([unitsOf('mm'), unitsOf('in')]).toEqual(['mm', 'in']);
  expect(() => unitsOf('cm')).toThrow('"cm"');
});
