import { expect, test } from 'vitest';
import type { JobView } from '../api/schema';
import { needsOf } from '../jobs/needs';
import { lengthOf, rowsOf, valueAt } from './document';
import { addressOf, readPlace, type Place } from './place';

test('every place is found again by its address', () => {
  const places: Place[] = [{ page: 'jobs' }, { page: 'shelf' }, { page: 'saw', id: 'a/b' }, { page: 'job', id: 'ü 1', step: 'cut' }];
  for (const place of places) expect(readPlace(addressOf(place))).toEqual(place);
  expect(readPlace('#/job/7/nonsense')).toEqual({ page: 'job', id: '7', step: 'route' });
  expect(readPlace('#/job')).toEqual({ page: 'jobs' });
});

test('values of the document are read by path', () => {
  const document = { port: [{ at: [0, '1 5/8 in', 2] }], tube: { od: 2 } };
  expect(valueAt(document, ['port', 0, 'at', 2])).toBe(2);
  expect(valueAt(document, ['port', 3, 'at'])).toBeUndefined();
  expect(rowsOf(document, ['tube'])).toEqual([]);
  expect(lengthOf(valueAt(document, ['port', 0, 'at', 1]), 'mm')).toBeCloseTo(41.275);
  expect(lengthOf(2, 'in')).toBeCloseTo(50.8);
  expect(lengthOf('long', 'mm')).toBeNaN();
});

test('a problem is counted at the step where it is fixed', () => {
  const problem = (path: (string | number)[] | null, severity = 'error') => ({ severity, path, code: '', message: '', expected: '', about: '', hints: [] });
  const job = {
    problems: [problem(['port', 0]), problem(['tube', 'od']), problem(['saw', 'kerf']), problem(null), problem(['tube'], 'warning')],
    routes: { unmet: [{}, {}] }, plan: {}, plan_stale: 'routes have changed',
  } as unknown as JobView;
  expect(needsOf(job)).toEqual({ measure: 2, size: 1, route: 2, cut: 2, price: 0, papers: 0, strength: 0, fit: 0 });
});
