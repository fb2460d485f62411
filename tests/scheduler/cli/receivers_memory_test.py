#!/usr/bin/env python3
"""A request with a million different receivers takes less than 100 MiB of memory, its text of 40 MB included.
receivers_memory_test.py AMPTURN WORK_DIR"""

import pathlib
import random
import resource
import subprocess
import sys

AMPTURN, WORK = sys.argv[1], pathlib.Path(sys.argv[2])
COUNT, ALLOWED_KIB, COLUMNS = 1_000_000, 100 * 1024, 14

WORK.mkdir(parents=True, exist_ok=True)
draw = random.Random(1)
request, answer = WORK / "request.json", WORK / "answer.f64"
with request.open("w") as out:
    out.write('{"model": {"resistivity_ohm_m": [100, 20, 500], "thickness_m": [40, 120]}, "wavenumbers": "quasi_static", '
              '"frequencies_Hz": [8000], "sources": [{"moment_A_m2": [100, 0, 0], "source_height_m": 2}], "receivers": {')
    for key, below in ("x_m", ", "), ("y_m", "}}"):
        out.write(f'"{key}": [40')
        for _ in range(COUNT - 1):  # one by one: a child's peak is at least this process's own
            out.write(f", {draw.uniform(30, 900)!r}")
        out.write("]" + below)
subprocess.run([AMPTURN, "fields", request, "--format", "float64", "--out", answer, "--threads", "2"], check=True)
assert answer.stat().st_size == COUNT * COLUMNS * 8, answer.stat().st_size
largest_kib = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss
text_mb = request.stat().st_size / 1e6
request.unlink()
answer.unlink()
print(f"{COUNT} receivers, {text_mb:.0f} MB of text: {largest_kib / 1024:.0f} MiB at most")
sys.exit(largest_kib > ALLOWED_KIB)
