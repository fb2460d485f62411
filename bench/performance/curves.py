"""Time against layers, offsets, tolerance and threads: tables, and one picture of them."""
import os
import re

from performance.picture import picture
from performance.programs import benchmarks, best_of, fields_seconds, ms, three

KINDS = (("full", "dipoles"), ("full", "loops"), ("quasi_static", "dipoles"), ("quasi_static", "loops"))
HEADS = "full wave, dipoles | full wave, loops | quasi-static, dipoles | quasi-static, loops"


def measured(build):
    """{axis: {kind: {value: seconds}}}."""
    rows = best_of(benchmarks(build, "model_bench", "^curve_", "--benchmark_min_time=0.01", "--benchmark_repetitions=3"))
    curves = {}
    for name, row in rows.items():
        label, value = name.split("/")
        _, axis, rest = label.split("_", 2)
        waves, _, source = rest.rpartition("_")
        curves.setdefault(axis, {}).setdefault((waves, source), {})[int(value)] = row["cpu_s"]
    return curves


def threads(build):
    """{kind: {threads: seconds by the clock}} of `ampturn fields` on 1, 2, 4 ... and all processors."""
    loops = [{"loop": {"turns": 3, "current_A": 2, "vertices_xyz_m": [[0, -2, -1], [0, 2, -1], [0, 2, -5], [0, -2, -5]]}},
             {"loop": {"turns": 3, "current_A": 2, "vertices_xyz_m": [[-2, 0, -1], [-2, 0, -5], [2, 0, -5], [2, 0, -1]]}}]
    dipoles = [{"moment_A_m2": m, "source_height_m": 2} for m in ([100, 0, 0], [0, 100, 0])]
    most = os.cpu_count()
    counts = sorted({2 ** i for i in range(20) if 2 ** i < most} | {most})
    curves = {}
    for waves, source in KINDS:
        request = {"model": {"resistivity_ohm_m": [100, 20, 500], "thickness_m": [40, 120]}, "wavenumbers": waves,
                   "frequencies_Hz": [1000 * 1.02 ** i for i in range(300)], "sources": loops if source == "loops" else dipoles,
                   "receivers": {"offset_m": [100 * 20 ** (i / 500) for i in range(500)], "bearing_deg": 30}}
        curves[waves, source] = {n: fields_seconds(build, request, n) for n in counts}
    return curves


def table(head, curves, label):
    text = f"| {head} | {HEADS} |\n|---|---|---|---|---|\n"
    for value in curves[KINDS[0]]:
        cells = " | ".join(ms(curves[kind][value]) for kind in KINDS)
        text += f"| {label(value)} | {cells} |\n"
    return text


def picture_of_tables(document):
    """The SVG of the tables that section() wrote into the document."""
    plots = []
    for axis in ("layers", "offsets", "tolerance", "threads"):
        rows = re.search(rf"^\| {axis} \| {re.escape(HEADS)} \|\n\|[-|]+\|\n((?:\|.*\|\n)+)", document, re.M)[1].splitlines()
        cells = [[cell.strip() for cell in row.strip("|").split("|")] for row in rows]
        by_kind = {kind: {row[0]: float(row[1 + column]) / 1e3 for row in cells} for column, kind in enumerate(KINDS)}
        plots.append((axis, by_kind, str))
    return picture(plots, KINDS)


def section(build):
    """The section of the document; docs/images/make draws its picture."""
    curves, by_threads = measured(build), threads(build)
    most = max(by_threads[KINDS[0]])
    gains = ", ".join(three(by_threads[kind][1] / by_threads[kind][most]) for kind in KINDS)
    return f"""Milliseconds of CPU time of one thread, best of three. 16 frequencies from 1 kHz to 1 MHz, two sources at a place: dipoles, or
upright loops of 4 m by 4 m (which are summed from dipoles over their area); offsets from 20 m to 5 km. Unless it is what varies: 5
layers, 500 offsets, tolerance 1e-7 (`bench/model/curves_bench.cpp`).

![Milliseconds against layers, offsets, tolerance and threads](images/performance.svg)

{table("layers", curves["layers"], str)}
{table("offsets", curves["offsets"], str)}
{table("tolerance", curves["tolerance"], lambda e: f"1e-{e}")}
Threads, by the clock: `ampturn fields` as a whole, best of five, 300 frequencies and 500 receivers over three layers, reading the
request, making the tables and writing float64 included. {most} threads gain a factor of
{gains}, in the order of the columns; on a machine that does other things at the same time this says
little.

{table("threads", by_threads, str)}"""
