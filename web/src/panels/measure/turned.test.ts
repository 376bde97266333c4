import { expect, test } from 'vitest';
import { anglesOf, axesOf } from './turned';

test('a quarter turn about z puts x where y was', () => {
  expect(axesOf([90, 0, 0])).toEqual([[0, 1, 0], [-1, 0, 0], [0, 0, 1]]);
});

test('angles come back from their axes', () => {
  for (const angles of [[0, 0, 0], [30, 0, 0], [-45, 20, 10], [170, -60, 85]] as [number, number, number][]) {
    anglesOf(axesOf(angles)).forEach((a, i) => expect(a).toBeCloseTo(angles[i]!, 3));
  }
  expect(anglesOf(undefined)).toEqual([0, 0, 0]);
});

test('the axes stand square to one another and are right-handed', () => {
  const [x, y, z] = axesOf([25, -40, 70]) as [number[], number[], number[]];
  const cross = [x[1]! * y[2]! - x[2]! * y[1]!, x[2]! * y[0]! - x[0]! * y[2]!, x[0]! * y[1]! - x[1]! * y[0]!];
  cross.forEach((v, i) => expect(v).toBeCloseTo(z[i]!, 6));
});
