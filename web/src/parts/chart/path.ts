/**
 * SVG paths of lines and bands. A smooth line is a cubic between each two points that never overshoots them: slopes by
 * M. Steffen, "A simple method for monotonic interpolation in one dimension", Astronomy and Astrophysics 239 (1990) 443, eq. 11;
 * at both ends that of the parabola through the last two points with the slope at the inner one.
 */
import type { Place } from './marks';

const text = (values: number[]) => values.map((value) => Number(value.toFixed(2))).join(' ');

/** Slope at the middle one of three points. */
function slopeAt([x0, y0]: Place, [x1, y1]: Place, [x2, y2]: Place): number {
  const [before, after] = [x1 - x0, x2 - x1];
  const [s, t] = [(y1 - y0) / before, (y2 - y1) / after];
  const parabola = (s * after + t * before) / (before + after);
  return (Math.sign(s) + Math.sign(t)) * Math.min(Math.abs(s), Math.abs(t), Math.abs(parabola) / 2);
}

/** Slopes at all points, whose x rises; at least three. */
export function slopesOf(points: readonly Place[]): number[] {
  const inner = points.slice(1, -1).map((point, i) => slopeAt(points[i]!, point, points[i + 2]!));
  const end = ([x0, y0]: Place, [x1, y1]: Place, slope: number) => ((3 * (y1 - y0)) / (x1 - x0) - slope) / 2;
  return [end(points[0]!, points[1]!, inner[0]!), ...inner, end(points.at(-2)!, points.at(-1)!, inner.at(-1)!)];
}

/** A line through points in pixels, straight from each to the next; smooth, when asked, where x rises all along. */
export function linePath(points: readonly Place[], smooth = false): string {
  if (points.length === 0) return '';
  const rises = points.slice(1).every(([x], i) => x > points[i]![0]);
  if (!smooth || !rises || points.length < 3) return `M${points.map((p) => text([...p])).join('L')}`;
  const slopes = slopesOf(points);
  const cubic = points.slice(1).map(([x, y], i) => {
    const [x0, y0] = points[i]!;
    const third = (x - x0) / 3;
    return `C${text([x0 + third, y0 + slopes[i]! * third, x - third, y - slopes[i + 1]! * third, x, y])}`;
  });
  return `M${text([...points[0]!])}${cubic.join('')}`;
}

/** The area between two lines over the same x. */
export function areaPath(low: readonly Place[], high: readonly Place[]): string {
  return low.length === 0 ? '' : `${linePath(high)}L${linePath([...low].reverse()).slice(1)}Z`;
}
