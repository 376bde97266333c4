import { describe, expect, test } from 'vitest';
import { showAngle, showMoney } from './figures';
import { editable, fraction, showChange, showLength } from './length';
import { isAmbiguous, parseFigure, parseLength, parseNumber, parseSum } from './parse';

describe('inches', () => {
  test('are read as the trade writes them', () => {
    expect(fraction(1.625)).toBe('1 5/8');
    expect(fraction(0.625)).toBe('5/8');
    expect(fraction(-0.25)).toBe('-1/4');
    expect(fraction(33 + 15 / 32)).toBe('33 15/32');
    expect(fraction(0.999)).toBe('1');
    expect(fraction(-0.001)).toBe('0');
  });
  test('and back within half of 1/32', () => {
    for (let mm = -60; mm < 900; mm += 7.3) {
      const back = parseLength(showLength(mm, 'in'), 'in');
      expect(Math.abs((back?.mm ?? NaN) - mm)).toBeLessThanOrEqual(25.4 / 64 + 1e-9);
    }
  });
});

describe('what is typed', () => {
  test('a fraction or a unit is kept as text', () => {
    expect(parseLength('1 5/8', 'in')).toEqual({ mm: 41.275, text: '1 5/8 in' });
    expect(parseLength('41.3 mm', 'in')).toEqual({ mm: 41.3, text: '41.3 mm' });
    expect(parseLength('2"', 'mm')).toEqual({ mm: 50.8, text: '2 in' });
  });
  test('a bare number is in the unit shown', () => {
    expect(parseLength('41.3', 'mm')).toEqual({ mm: 41.3 });
    expect(parseLength('2', 'in')).toEqual({ mm: 50.8 });
  });
  test('sums', () => {
    expect(parseLength('=4*25.4', 'mm')?.mm).toBeCloseTo(101.6);
    expect(parseLength('4*25.4 + 3', 'mm')?.mm).toBeCloseTo(104.6);
    expect(parseLength('93,5', 'mm')).toEqual({ mm: 93.5 });
    expect(parseLength('0,125', 'in')?.mm).toBeCloseTo(3.175);
    expect(parseLength('1,250', 'mm')).toBeNull();
    expect(isAmbiguous('1,250')).toBe(true);
    expect(parseFigure('4/2+1')).toBe(3);
    expect(parseSum('2+3*4')).toBe(14);
    expect(parseSum('-(2-5)/2')).toBe(1.5);
  });
  test('what is no number is refused', () => {
    for (const text of ['', 'abc', '1e9', '1/0', '4 4', '1 5/8 ft', '-']) expect(parseLength(text, 'mm')).toBeNull();
    for (const text of ['', '2+', '(1', '1)', '1/0', '2 2', 'alert(1)']) expect(parseSum(text)).toBeNull();
    expect(parseNumber('-3/4')).toBe(-0.75);
  });
});

test('figures', () => {
  expect(showMoney(1653.07, 'USD')).toBe('1,653.07 USD');
  expect(showAngle(-0.01)).toBe('0.0°');
  expect(showChange(1.24, 'mm')).toBe('+1.2');
  expect(showChange(-0.01, 'mm')).toBe('');
  expect(showLength(-0.01, 'mm')).toBe('0.0');
  expect(editable(44.45, 'mm')).toBe('44.45');
  expect(editable(44.45, 'in')).toBe('1.75');
});
