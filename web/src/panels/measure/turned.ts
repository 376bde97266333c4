/** Three angles for the three axes of a turned box: yaw about z, pitch about the new y, roll about the new x. */
import type { Json } from '../../api/types';

const DEG = Math.PI / 180;

/** Rows of the axes x, y, z of a box turned by yaw, pitch, roll in degrees. */
export function axesOf([yaw, pitch, roll]: readonly [number, number, number]): number[][] {
  const [cz, sz] = [Math.cos(yaw * DEG), Math.sin(yaw * DEG)];
  const [cy, sy] = [Math.cos(pitch * DEG), Math.sin(pitch * DEG)];
  const [cx, sx] = [Math.cos(roll * DEG), Math.sin(roll * DEG)];
  const rows = [
    [cz * cy, sz * cy, -sy],
    [cz * sy * sx - sz * cx, sz * sy * sx + cz * cx, cy * sx],
    [cz * sy * cx + sz * sx, sz * sy * cx - cz * sx, cy * cx],
  ];
  return rows.map((row) => row.map((v) => Number(v.toFixed(9)) + 0));
}

/** The angles of given axes, degrees with three decimals; zeros when they are none. */
export function anglesOf(axes: Json | undefined): [number, number, number] {
  const rows = Array.isArray(axes) ? axes.map((row) => (Array.isArray(row) ? row.map(Number) : [])) : [];
  const [x, y, z] = rows;
  if (!x || !y || !z || [x, y, z].some((row) => row.length !== 3)) return [0, 0, 0];
  const pitch = Math.asin(Math.min(Math.max(-x[2]!, -1), 1));
  const flat = Math.abs(x[2]!) > 1 - 1e-9;
  const yaw = flat ? Math.atan2(-y[0]!, y[1]!) : Math.atan2(x[1]!, x[0]!);
  const roll = flat ? 0 : Math.atan2(y[2]!, z[2]!);
  return [yaw, pitch, roll].map((a) => Number((a / DEG).toFixed(3)) + 0) as [number, number, number];
}
