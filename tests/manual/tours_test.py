#!/usr/bin/env python3
"""Runs every command of README's tours, in their order, in one folder that has the demo beside it: each has to end with 0.
Programs that serve are started on free ports and ended by SIGINT.

    tests/manual/tours_test.py PROGRAMS CHECKOUT SCRATCH"""
import os
import re
import shutil
import subprocess
import sys
import time

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import examples
from manual_test import Reader

PROGRAMS, CHECKOUT, SCRATCH = sys.argv[1:4]
COMMAND = re.compile(r"^    (ampturn(?:-sim)? ?.*?)(?: +# .*)?$")
SERVES = re.compile(r"^ampturn-sim($| --| drill | course )")
FREE_PORTS = " --scpi-port 0 --panel-port 0"
ASKS = "ampturn new first.toml"  # answered by nothing but Enter
LONGEST_S = 300


def commands():
    with open(os.path.join(CHECKOUT, "README.md"), encoding="utf-8") as file:
        tours = file.read().split("## Five minutes", 1)[1]
    return [match[1].strip() for match in map(COMMAND.match, tours.splitlines()) if match]


def serve(reader, command, log):
    """`ampturn-sim` names its log last, when it is ready."""
    return reader.run_until_interrupted(examples.Command(0, f"{command}{FREE_PORTS} --log {log}", [], f"log {log}"))


def run(command, environment):
    answers = "\n" * 60 if command == ASKS else ""
    done = subprocess.run(["bash", "-c", command], cwd=SCRATCH, env=environment, input=answers, timeout=LONGEST_S,
                          stdout=subprocess.PIPE, stderr=subprocess.STDOUT, check=False, text=True, errors="replace")
    return done.returncode, done.stdout


def main():
    shutil.rmtree(SCRATCH, ignore_errors=True)
    os.makedirs(SCRATCH)
    shutil.copytree(os.path.join(CHECKOUT, "demo"), os.path.join(SCRATCH, "demo"))
    reader = Reader(PROGRAMS, SCRATCH)
    toured = commands()
    if len(toured) < 30:
        sys.exit(f"only {len(toured)} commands found in README.md's tours")
    failed = 0
    for number, command in enumerate(toured, 1):
        begun = time.monotonic()
        if SERVES.match(command):
            log = "session.jsonl" if " drill " in command else f"line_{number}.jsonl"
            code, said = serve(reader, command, log)
        else:
            code, said = run(command, reader.environment)
        print(f"{time.monotonic() - begun:6.1f} s  {command}")
        if code != 0:
            failed += 1
            print(f"README.md: `{command}` ended with {code}:\n{said[-1500:]}")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
