"""Makes hull-side.ply: the inside of an invented hull beside the engine, as a scanner would bring it.

A curved skin with ribs, a stringer along the bottom, a folded hatch flange along the top, and the unevenness of
hand-laid glass. One side only (an open sheet), in mm, in the axes of the job. Needs nothing but Python; the same
file comes out every time.
"""

import math
import struct
from pathlib import Path

COLUMNS, ROWS = 420, 150  # 124 k triangles
X_FROM, X_TO = 260.0, -1150.0  # mm, forward to aft
Z_FROM, Z_TO = -330.0, 330.0


def rough(i: int, j: int) -> float:
    """A number in [-1, 1] from a hash of the place: no random state."""
    h = (i * 374761393 + j * 668265263) & 0xFFFFFFFF
    h = ((h ^ (h >> 13)) * 1274126177) & 0xFFFFFFFF
    return ((h ^ (h >> 16)) & 0xFFFF) / 32767.5 - 1.0


def rise(x: float, width: float) -> float:
    """A smooth step from 0 to 1 over `width` mm around 0."""
    return 1.0 / (1.0 + math.exp(-4.0 * x / width))


def skin(x: float, z: float, i: int, j: int) -> float:
    """How far out (y, mm) the skin lies."""
    y = 372.0 - 26.0 * ((x + 400.0) / 700.0) ** 2 + 0.10 * z
    for rib in (40.0, -290.0, -620.0, -950.0):  # ribs stand in by 16 mm
        y -= 16.0 * (rise(x - rib + 24.0, 18.0) - rise(x - rib - 24.0, 18.0))
    y -= 95.0 * rise(-(z + 250.0), 30.0)  # the stringer
    y -= 42.0 * rise(z - 285.0, 16.0)  # the hatch flange
    y += 1.6 * math.sin(x / 31.0) * math.sin(z / 23.0)  # cloth
    return y + 0.35 * rough(i, j)


def main() -> None:
    vertices = []
    for j in range(ROWS):
        z = Z_FROM + (Z_TO - Z_FROM) * j / (ROWS - 1)
        for i in range(COLUMNS):
            x = X_FROM + (X_TO - X_FROM) * i / (COLUMNS - 1)
            vertices.append((x, skin(x, z, i, j), z))
    faces = []
    for j in range(ROWS - 1):
        for i in range(COLUMNS - 1):
            a, b = j * COLUMNS + i, j * COLUMNS + i + 1
            c, d = a + COLUMNS, b + COLUMNS
            faces += [(a, b, d), (a, d, c)]
    head = (
        "ply\nformat binary_little_endian 1.0\ncomment inside of a hull, invented\n"
        f"element vertex {len(vertices)}\nproperty float x\nproperty float y\nproperty float z\n"
        f"element face {len(faces)}\nproperty list uchar int vertex_indices\nend_header\n"
    )
    body = b"".join(struct.pack("<3f", *v) for v in vertices)
    body += b"".join(struct.pack("<B3i", 3, *f) for f in faces)
    Path(__file__).with_name("hull-side.ply").write_bytes(head.encode("ascii") + body)
    print(f"hull-side.ply: {len(faces)} triangles")


if __name__ == "__main__":
    main()
