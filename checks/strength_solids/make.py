"""Writes expected.csv from solid models, or with --check compares it with them. Skipped where ccx is not installed."""

import shutil
import sys
import tempfile
from pathlib import Path

import solids

#: Outside diameter, wall, CLR (mm), angle (degrees).
BENDS = {
    "bend-90": (44.45, 1.65, 66.675, 90.0),
    "bend-60": (44.45, 1.65, 66.675, 60.0),
    "bend-45": (44.45, 1.65, 66.675, 45.0),
    "bend-30": (44.45, 1.65, 66.675, 30.0),
    "bend-180": (44.45, 1.65, 66.675, 180.0),
    "bend-90-tight": (44.45, 1.65, 44.45, 90.0),
    "bend-90-thin": (44.45, 1.24, 66.675, 90.0),
    "bend-90-thick": (48.26, 2.77, 57.15, 90.0),
}
#: Outside diameter, wall (mm), rise (K), length over which it rises by 63 % (mm).
WELDS = {
    "weld-gentle": (44.45, 1.65, 300.0, 15.0),
    "weld-usual": (44.45, 1.65, 380.0, 10.7),
    "weld-steep": (44.45, 1.65, 470.0, 10.5),
    "weld-thick": (48.26, 2.77, 300.0, 12.0),
}


def figures(folder: Path) -> list[str]:
    """Rows of expected.csv."""
    out = ["case,od_mm,wall_mm,clr_mm or rise_k,angle_deg or over_mm,k_in or mpa,k_out"]
    for name, given in BENDS.items():
        k_in, k_out = solids.bend(folder, name, *given)
        out.append(f"{name},{','.join(map(str, given))},{k_in:.3f},{k_out:.3f}")
    for name, given in WELDS.items():
        out.append(f"{name},{','.join(map(str, given))},{solids.weld(folder, name, *given):.1f},")
    return out


def main() -> int:
    if shutil.which("ccx") is None:
        print("strength_solids: skipped: ccx (Debian package calculix-ccx) is not installed")
        return 0
    kept = Path(__file__).parent / "expected.csv"
    with tempfile.TemporaryDirectory() as folder:
        rows = figures(Path(folder))
    if "--check" not in sys.argv:
        kept.write_text("\n".join(rows) + "\n")
        return 0
    wrong = 0
    for old, new in zip(kept.read_text().splitlines()[1:], rows[1:], strict=True):
        a, b = ([float(c) for c in row.split(",")[1:] if c] for row in (old, new))
        off = max(abs(y / x - 1) for x, y in zip(a, b, strict=True))
        wrong += off > 0.005
        print(f"  {old.split(',')[0]}: within {100 * off:.2f} %{'' if off <= 0.005 else ': too far'}")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
