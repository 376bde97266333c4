/** Colours of the runs in their order, the same as in `crates/job/src/palette.rs`; a test of `app` holds both together. */
export const RUN_COLOURS = ['#0072b2', '#e69f00', '#009e73', '#d55e00', '#56b4e9', '#cc79a7', '#968c14', '#8a8f98'] as const;

/** Colour of a run by its index, from 0; its tag is always shown beside it. */
export function runColour(place: number): string {
  return RUN_COLOURS[place % RUN_COLOURS.length] ?? RUN_COLOURS[0];
}

/** Tag beside the colour: the cylinder, or `S1`, `T1` for secondaries and tails in their order. */
export function runTag(run: { run: string; cylinder?: number | null }): string {
  if (run.cylinder != null) return String(run.cylinder);
  const [kind, name] = run.run.split(' ');
  return `${(kind ?? '').charAt(0).toUpperCase()}${/^\d+$/.test(name ?? '') ? name : ''}`;
}

/** Text colour that is readable on a run's colour. */
export function inkOn(colour: string): string {
  const channel = (at: number) => {
    const value = parseInt(colour.slice(at, at + 2), 16) / 255;
    return value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
  };
  const light = 0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5);
  return light > 0.18 ? '#0d0c0b' : '#ffffff';
}

/** Nine places of viridis (van der Walt and Smith, 2015), from small to large. */
const VIRIDIS = ['#440154', '#472d7b', '#3b528b', '#2c728e', '#21918c', '#28ae80', '#5ec962', '#addc30', '#fde725'] as const;

/** Clearance at which the colour band ends, mm. */
export const WIDE_GAP_MM = 40;

/** Colour of a clearance: dark where it is tight, in both themes. */
export function gapColour(gap: number | null): string {
  if (gap === null) return 'transparent';
  const share = Math.min(Math.max(gap / WIDE_GAP_MM, 0), 1);
  const place = Math.round(share * (VIRIDIS.length - 1));
  return VIRIDIS[place] ?? VIRIDIS[0];
}

/** Colour between two places of viridis, red, green and blue from 0 to 255; `share` from 0, dark, to 1, light. */
export function viridis(share: number): [number, number, number] {
  const along = Math.min(Math.max(share, 0), 1) * (VIRIDIS.length - 1);
  const low = Math.min(Math.floor(along), VIRIDIS.length - 2);
  const channel = (of: string, at: number) => parseInt(of.slice(at, at + 2), 16);
  const mixed = (at: number) => Math.round(channel(VIRIDIS[low]!, at) * (1 - along + low) + channel(VIRIDIS[low + 1]!, at) * (along - low));
  return [mixed(1), mixed(3), mixed(5)];
}
