"""Runs what is measured: the benchmark programs, `ampturn fields`, and Python scripts with a chosen BLAS."""
import json
import os
import re
import subprocess
import tempfile
import time

ROOT = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
UNPACKED = os.path.join(ROOT, "build/performance/usr/lib")  # by .ci/setup performance
LIBRARIES = os.path.join(UNPACKED, "x86_64-linux-gnu")
PYTHON = "/usr/bin/python3"  # Debian's, whose NumPy goes with Debian's BLAS
UNITS = {"ns": 1e-9, "us": 1e-6, "ms": 1e-3, "s": 1.0}


def set_up():
    """What is compared with; without a network the document says what could not be measured."""
    subprocess.run([os.path.join(ROOT, ".ci/setup"), "performance"], check=False)


def benchmarks(build, program, names, *words):
    """Google Benchmark's answer."""
    raw = subprocess.run([os.path.join(build, "bin", program), "--benchmark_filter=" + names, "--benchmark_format=json", *words],
                         capture_output=True, text=True, check=True).stdout
    return json.loads(raw)


def best_of(answer):
    """The quickest repetition of each benchmark, what other programs on the machine disturb least; `cpu_s` and `real_s` added."""
    rows = {}
    for b in answer["benchmarks"]:
        name = b["run_name"]
        if b["run_type"] == "iteration" and (name not in rows or b["cpu_time"] < rows[name]["cpu_time"]):
            rows[name] = dict(b, cpu_s=b["cpu_time"] * UNITS[b["time_unit"]], real_s=b["real_time"] * UNITS[b["time_unit"]])
    return rows


def environment(openblas):
    """One thread; OpenBLAS instead of the machine's own BLAS for this process alone."""
    paths = [LIBRARIES]
    if openblas:
        paths.insert(0, os.path.join(LIBRARIES, "openblas-pthread"))
    return dict(os.environ, OMP_NUM_THREADS="1", OPENBLAS_NUM_THREADS="1", LD_LIBRARY_PATH=":".join(paths),
                PYTHONPATH=os.path.join(UNPACKED, "python3/dist-packages"))


def blas_in_use(openblas):
    """NumPy's version and the file it multiplies with, as mapped into the process; None where there is none."""
    if openblas and not os.path.isdir(os.path.join(LIBRARIES, "openblas-pthread")):
        return None
    script = ("import numpy; numpy.dot(numpy.ones((2, 2)), numpy.ones((2, 2)));"
              "print(numpy.__version__); print(open('/proc/self/maps').read())")
    done = subprocess.run([PYTHON, "-c", script], capture_output=True, text=True, env=environment(openblas))
    if done.returncode != 0:
        return None
    version, maps = done.stdout.split("\n", 1)
    files = sorted({os.path.basename(x) for x in re.findall(r"/\S*blas\S*\.so[.\d]*", maps)}, key=lambda x: "openblas" not in x)
    # OpenBLAS's libblas.so.3 hands on to libopenblas*.so.
    return version, files[0] if files else "NumPy's own loops"


def numbers_of(script, openblas=False, words=()):
    """What a script of bench/model prints; None where something it needs is missing."""
    done = subprocess.run([PYTHON, os.path.join(ROOT, "bench/model", script), *words],
                          capture_output=True, text=True, env=environment(openblas))
    if done.returncode != 0:
        if "ModuleNotFoundError" in done.stderr or "ImportError" in done.stderr:
            return None
        raise SystemExit(f"{script}: {done.stderr.strip()}")
    return [float(x) for x in done.stdout.split()]


def fields_seconds(build, request, threads):
    """Clock time of `ampturn fields` as a process: best of five."""
    best = float("inf")
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "request.json")
        with open(path, "w", encoding="utf-8") as out:
            json.dump(request, out)
        for _ in range(5):
            begun = time.monotonic()
            subprocess.run([os.path.join(build, "bin/ampturn"), "fields", path, "--format", "float64", "--out",
                            os.path.join(folder, "x"), "--threads", str(threads)], check=True)
            best = min(best, time.monotonic() - begun)
    return best


def three(x):
    """Three digits, without an exponent up to a million."""
    return f"{x:.3g}" if abs(x) < 1000 else f"{float(f'{x:.3g}'):.0f}"


def ms(seconds):
    return three(1e3 * seconds)
