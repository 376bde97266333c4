/** Narrows what the OpenAPI document leaves open: how many numbers a list has, and which words a text may be. */
import type { Units, Xyz } from './types';

/** The three numbers of a place or direction. Throws when there is another count. */
export function xyz(list: readonly number[]): Xyz {
  const [x, y, z] = list;
  if (x === undefined || y === undefined || z === undefined || list.length > 3) throw miscounted(3, list);
  return [x, y, z];
}

/** The two numbers of a stretch or of a pair of legs. Throws when there is another count. */
export function pair(list: readonly number[]): [number, number] {
  const [first, second] = list;
  if (first === undefined || second === undefined || list.length > 2) throw miscounted(2, list);
  return [first, second];
}

/** The unit of lengths. Throws on any other word. */
export function unitsOf(word: string): Units {
  if (word !== 'mm' && word !== 'in') throw new Error(`The server sent the unit "${word}"; expected mm or in.`);
  return word;
}

function miscounted(wanted: number, list: readonly number[]): Error {
  return new Error(`The server sent a list of ${list.length} numbers; expected ${wanted}.`);
}
