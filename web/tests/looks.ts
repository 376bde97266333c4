/**
 * The looks that the page's behaviours are shown in: light and dark, at four widths.
 *
 * A spec file begins with `const look = inTurn(TURNS)` and gives `look()` to each of its tests. The first test is run in the first
 * TURNS of the eight looks, the second in the next TURNS, round and round, so that a file of N tests is seen in all
 * eight when N * TURNS is at least 8. `TUBEWRIGHT_LOOKS=all` runs every test in every look.
 */
export interface Look {
  name: string;
  ground: 'light' | 'dark';
  width: number;
}

/** In an order in which neighbours differ in ground and in width: two turns are never twice the same screen. */
export const LOOKS: readonly Look[] = ([
  ['light', 1440], ['dark', 390], ['light', 820], ['dark', 1024], ['light', 390], ['dark', 1440], ['light', 1024], ['dark', 820],
] as const).map(([ground, width]) => ({ name: `${ground} ${width}`, ground, width }));

const tagOf = (look: Look) => `@${look.ground}-${look.width}`;

/** Selects the tests of one look, for its project. */
export const testsOf = (look: Look) => new RegExp(`${tagOf(look)}\\b`);

/** Selects the tests that are in no look: those of `figures` and `pictures`. */
export const IN_A_LOOK = /@(light|dark)-\d+/;

/** What one test after the other is tagged with, for `turns` looks each. */
export function inTurn(turns: number): () => { tag: string[] } {
  const each = process.env.TUBEWRIGHT_LOOKS === 'all' ? LOOKS.length : Math.min(turns, LOOKS.length);
  let next = 0;
  return () => {
    const tag = Array.from({ length: each }, (_, i) => tagOf(LOOKS[(next + i) % LOOKS.length]!));
    next += each;
    return { tag };
  };
}
