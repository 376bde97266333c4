import { expect, test } from 'vitest';
import schema from '../../../../docs/job.schema.json';
import { headers, surroundings, tableAt, type Schema } from './complete';

const root = schema as unknown as Schema;

test('a line stands under the last header, with the keys given there', () => {
  expect(surroundings(['units = "mm"', '[[port]]', 'cylinder = 1', '  at = [0, 0, 0]'])).toEqual({ header: 'port', given: ['cylinder', 'at'] });
  expect(surroundings(['units = "mm"'])).toEqual({ header: '', given: ['units'] });
});

test('keys of nested tables are found', () => {
  expect(Object.keys(tableAt(root, 'port')?.properties ?? {})).toContain('axis');
  expect(Object.keys(tableAt(root, 'port.bolt')?.properties ?? {})).toContain('reach');
  expect(Object.keys(tableAt(root, 'engine.exhaust_cam')?.properties ?? {})).toContain('opens_bbdc_deg');
  expect(tableAt(root, 'nothing')).toBeUndefined();
});

test('headers are written as the file has them', () => {
  const labels = headers(root).map((h) => h.label);
  for (const label of ['[tube]', '[[port]]', '[[port.bolt]]', '[[stock.bend]]', '[engine.exhaust_cam]']) {
    expect(labels).toContain(label);
  }
});
