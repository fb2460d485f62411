"""Surveys of many days: `ampturn check` and `ampturn days` on plans that bench/many_days_plan makes."""
import os
import subprocess
import tempfile

from performance.programs import ROOT, three

DRAWS = 2


def used(words):
    """CPU seconds and most memory in MB of a program that ends well."""
    process = subprocess.Popen(words, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, status, usage = os.wait4(process.pid, 0)
    if status != 0:
        raise SystemExit(f"{words}: {status}")
    return usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024


def row(build, days, stations, folder):
    plan, out = os.path.join(folder, "plan.toml"), os.path.join(folder, f"{days}-{stations}")
    with open(plan, "w", encoding="utf-8") as file:
        subprocess.run([os.path.join(ROOT, "bench/many_days_plan"), "--days", str(days), "--stations", str(stations)], stdout=file,
                       check=True)
    program = os.path.join(build, "bin/ampturn")
    check_s, _ = used([program, "check", plan])
    run_s, _ = used([program, "days", plan, "--threads", "1"])
    drawn_s, _ = used([program, "days", plan, "--threads", "1", "--draws", str(DRAWS)])
    files_s, files_mb = used([program, "days", plan, "--threads", "1", "--out", out])
    page_mb = os.path.getsize(os.path.join(out, "days.html")) / 1e6
    return (f"| {days} | {stations} | {three(check_s)} | {three(run_s)} | {three(files_s)} | {files_mb:.0f} | {page_mb:.1f} | "
            f"{three((drawn_s - run_s) / DRAWS)} |\n")


def section(build):
    with tempfile.TemporaryDirectory() as folder:
        rows = "".join(row(build, *size, folder) for size in ((15, 500), (30, 500), (30, 1000)))
    return f"""## Several days

`bench/many_days_plan` makes invented plans of many days, stations on five sites, 64 steps (`docs/days.md`); CPU seconds of one
thread. Each station's fields are computed on the day it is done and on no other, days that start alike share a table, and each day is
written before the next is run:

    bench/many_days_plan --days 30 --stations 1000 > many.toml
    ampturn days many.toml --threads 1 --out out/many

| days | stations | `check` s | `days` s | with all files s | memory MB | page MB | a draw s |
|---|---|---|---|---|---|---|---|
{rows}"""
