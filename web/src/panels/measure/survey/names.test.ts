import { expect, test } from 'vitest';
import { likeName, oneEdit } from './names';

test('a name typed a little differently is asked about, another number is another point', () => {
  const known = ['port 1', 'rail dot', 'mount front'];
  expect(likeName('port 1', known)).toBeNull();
  expect(likeName('Port1', known)).toBe('port 1');
  expect(likeName('rail-dot', known)).toBe('rail dot');
  expect(likeName('mount fornt', known)).toBe('mount front');
  expect(likeName('mont front', known)).toBe('mount front');
  expect(likeName('port 2', known)).toBeNull();
  expect(likeName('mount rear', known)).toBeNull();
  expect(likeName('', known)).toBeNull();
});

test('one edit is one letter more, less, other, or two swapped', () => {
  for (const [a, b] of [['abc', 'abcd'], ['abcd', 'abxd'], ['abcd', 'abdc'], ['abcd', 'bcd']]) expect(oneEdit(a!, b!)).toBe(true);
  for (const [a, b] of [['abc', 'abc'], ['abcd', 'abdcx'], ['abcd', 'badc'], ['a', 'abc']]) expect(oneEdit(a!, b!)).toBe(false);
});
