import { BoxGeometry, PlaneGeometry } from 'three';
import { describe, expect, it } from 'vitest';
import { coarseIndex } from './tube';

describe('the coarse triangles of a scan', () => {
  it('are all of them where there are few', () => {
    const box = new BoxGeometry(100, 60, 40);
    // Corners that lie at one place become one.
    expect(coarseIndex(box).count).toBe(3 * 12);
  });

  it('are few where there are many, and reach as far', () => {
    const sheet = new PlaneGeometry(800, 800, 400, 400);
    const coarse = coarseIndex(sheet);
    expect(coarse.count).toBeLessThan(sheet.index!.count / 20);
    const position = sheet.getAttribute('position');
    const reach = Array.from(coarse.array, (v) => Math.abs(position.getX(v)));
    expect(Math.max(...reach)).toBeGreaterThan(390);
  });
});
