#!/usr/bin/env python3
"""Runs one file of scripts on every build of the core and compares the traces byte for byte.

compare_traces.py SCENARIOS RANDOM_SCRIPT WORK_DIR RANDOM_COUNT --host NAME=PROGRAM... --target IMAGE
"""

import argparse
import collections
import pathlib
import subprocess
import sys

TRIPS = {"over_current", "open_loop", "shorted_loop", "under_voltage", "over_temperature_winding",
         "over_temperature_electronics", "reversed_supply", "table_fault", "clock_fault", "watchdog", "emergency_stop"}
EDGES = 18  # listed in core/states.hpp; both ways of an edge with `hot` and `cool` count


def first_difference(a, b):
    for number, (left, right) in enumerate(zip(a.split(b"\n"), b.split(b"\n")), 1):
        if left != right:
            return f"line {number}: {left.decode()!r} against {right.decode()!r}"
    return "one trace is longer"


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("scenarios", type=pathlib.Path)
    parser.add_argument("random_script")
    parser.add_argument("work", type=pathlib.Path)
    parser.add_argument("random_count")
    parser.add_argument("--host", action="append", default=[])
    parser.add_argument("--target")
    args = parser.parse_args()
    args.work.mkdir(parents=True, exist_ok=True)

    scripts = args.scenarios.read_bytes()
    scripts += subprocess.run([args.random_script, "1", args.random_count], check=True, capture_output=True).stdout
    (args.work / "scripts.txt").write_bytes(scripts)

    traces = {}
    for host in args.host:
        name, program = host.split("=", 1)
        subprocess.run([program, "scripts.txt", f"{name}.txt"], check=True, cwd=args.work)
        traces[name] = (args.work / f"{name}.txt").read_bytes()
    if args.target:
        subprocess.run(["qemu-system-arm", "-M", "mps2-an386", "-display", "none", "-monitor", "none", "-serial", "none",
                        "-semihosting-config", "enable=on,target=native,arg=trace,arg=scripts.txt,arg=target.txt",
                        "-kernel", args.target], check=True, cwd=args.work, timeout=300)
        traces["cortex-m4"] = (args.work / "target.txt").read_bytes()

    (first, expected), *others = traces.items()
    different = [f"{first} and {name} differ, {first_difference(expected, trace)}" for name, trace in others if trace != expected]

    lines = [line.split() for line in expected.decode().split("\n") if line]
    names = [line[1] for line in lines if line[0] == "script"]
    edges = collections.Counter((line[2], line[4], line[3]) for line in lines if len(line) > 4 and line[1] == "state")
    listed = {edge for edge in edges if edge[1] not in ("trip", "supply_lost")}
    missing = TRIPS - {line[2] for line in lines if len(line) > 2 and line[1] == "trip"}
    states = {edge[0] for edge in edges}
    print(f"{len(names)} scripts, {len(lines)} lines, {len(expected)} bytes; {', '.join(traces)}: "
          f"{'DIFFERENT' if different else 'identical'}")
    print(f"edges seen: {len(listed)} of {EDGES} listed; trips from {sum(e[1] == 'trip' for e in edges)} states, "
          f"supply lost in {sum(e[1] == 'supply_lost' for e in edges)}")
    problems = different
    if len(names) < 200 or len(set(names)) != len(names):
        problems.append("fewer than 200 scripts, or two of one name")
    if len(listed) != EDGES or len(states) != 9:
        problems.append(f"edges not reached: {EDGES - len(listed)}")
    if missing:
        problems.append(f"trips not reached: {sorted(missing)}")
    print("\n".join(problems))
    sys.exit(1 if problems else 0)


main()
