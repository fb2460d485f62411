#!/usr/bin/env python3
"""Apparent resistivity and phase of a SEG EDI file as CSV, with the names `ampturn curve --csv` has for them.

    edi_to_csv.py FILE.edi > FILE.csv

Impedances in (mV/km)/nT, so that the apparent resistivity is 0.2/f |Z|^2 ohm m; the phase of yx is that of -Z, in the first quadrant
over layered ground; error bars to first order from the variances. Rotated impedances (ZROT) are refused: planning has x to the north."""
import cmath
import math
import re
import sys


def blocks(text):
    """{name: its numbers} of the blocks that have numbers."""
    found = {}
    for head, body in re.findall(r"^>([^\n]*)\n([^>]*)", text, re.M):
        name = head.split()[0] if head.split() else ""
        try:
            found[name] = [float(word) for word in body.split()]
        except ValueError:
            pass  # a block of words
    return found


def main(path):
    with open(path, encoding="utf-8", errors="replace") as file:
        found = blocks(file.read())
    missing = [name for name in ("FREQ", "ZXYR", "ZXYI", "ZXY.VAR", "ZYXR", "ZYXI", "ZYX.VAR") if name not in found]
    if missing:
        sys.exit(f"{path}: no block >{missing[0]}")
    if any(found.get("ZROT", [])):
        sys.exit(f"{path}: ZROT is not 0: rotate the impedances to north first")
    print("frequency_hz,rho_xy_ohm_m,rho_xy_ohm_m_sd,phase_xy_deg,phase_xy_deg_sd,rho_yx_ohm_m,rho_yx_ohm_m_sd,phase_yx_deg,phase_yx_deg_sd")
    for i, frequency in enumerate(found["FREQ"]):
        cells = [f"{frequency:.9g}"]
        for name, sign in (("ZXY", 1), ("ZYX", -1)):
            z = sign * complex(found[name + "R"][i], found[name + "I"][i])
            relative = math.sqrt(found[name + ".VAR"][i] / 2) / abs(z)  # of |Z|: half the variance is along it, half across
            rho = 0.2 / frequency * abs(z) ** 2
            cells += [f"{rho:.9g}", f"{2 * relative * rho:.3g}", f"{math.degrees(cmath.phase(z)):.9g}", f"{math.degrees(relative):.3g}"]
        print(",".join(cells))


if __name__ == "__main__":
    main(*sys.argv[1:]) if len(sys.argv) == 2 else sys.exit(__doc__)
