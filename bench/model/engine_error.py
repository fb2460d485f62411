#!/usr/bin/python3
"""What `ampturn fields` errs on the full-wave job of fields_bench.cpp: every 23rd offset against its own integration by
contour_points.py. Prints the worst error relative to the field's vector, and how many fields were compared.

    /usr/bin/python3 bench/model/engine_error.py [AMPTURN]
"""
import json
import os
import subprocess
import sys
import tempfile

from lagged_job import FREQUENCIES, HEIGHT, RHO, THICKNESS
import numpy as np  # after lagged_job, which says how many threads

from contour_points import AZIMUTH, PERMITTIVITY, points, worst_miss

PROGRAM = os.path.join(os.path.dirname(os.path.abspath(__file__)), "../../build/dev/bin/ampturn")


def engine_fields(program, offsets):
    """[frequency][offset][loop][component]."""
    request = {"model": {"resistivity_ohm_m": RHO.tolist(), "thickness_m": THICKNESS.tolist(),
                         "relative_permittivity": PERMITTIVITY.tolist()},
               "wavenumbers": "full", "frequencies_Hz": FREQUENCIES.tolist(), "tolerance": 1e-7,
               "sources": [{"moment_A_m2": m, "source_height_m": HEIGHT} for m in ([1, 0, 0], [0, 1, 0])],
               "receivers": {"offset_m": offsets.tolist(), "bearing_deg": np.degrees(AZIMUTH)}}
    with tempfile.TemporaryDirectory() as folder:
        path, answer = os.path.join(folder, "request.json"), os.path.join(folder, "answer")
        with open(path, "w", encoding="utf-8") as out:
            json.dump(request, out)
        subprocess.run([program, "fields", path, "--format", "float64", "--out", answer], check=True)
        with open(answer + ".json", encoding="utf-8") as described:
            shape = json.load(described)["shape"]
        rows = np.fromfile(answer, "<f8").reshape(shape)[0]
    return rows[..., 0:10:2] + 1j * rows[..., 1:10:2]


def main():
    program = sys.argv[1] if len(sys.argv) > 1 else PROGRAM
    offsets = 10 * 500 ** (np.arange(500) / 499)
    ours = engine_fields(program, offsets)
    some = np.arange(0, 500, 23)
    worst = max(worst_miss(ours[i][some, loop].T, points(offsets[some], f, azimuth))
                for i, f in enumerate(FREQUENCIES) for loop, azimuth in enumerate((0.0, np.pi / 2)))
    print(f"{worst:.2g} {len(FREQUENCIES) * len(some) * 2}")


if __name__ == "__main__":
    main()
