#!/usr/bin/env python3
"""Runs every command of README's tours, in their order, in one folder that has the demo beside it: each has to end with 0 and say
nothing on standard error but what a plan's remarks are. Programs that serve are started, asked nothing and ended by SIGINT.

    tests/manual/tours_test.py PROGRAMS CHECKOUT SCRATCH"""
import os
import re
import shutil
import signal
import subprocess
import sys
import time

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


def serve(command, environment):
    log = " --log session.jsonl" if " drill " in command else " --log other.jsonl" if " course " not in command else ""
    with subprocess.Popen(["bash", "-c", "exec " + command + FREE_PORTS + log], cwd=SCRATCH, env=environment, stdin=subprocess.DEVNULL,
                          stdout=subprocess.PIPE, stderr=subprocess.STDOUT) as running:
        said = running.stdout.readline()
        time.sleep(1)
        running.send_signal(signal.SIGINT)
        said += running.stdout.read()
        code = running.wait(timeout=LONGEST_S)
    if os.path.exists(os.path.join(SCRATCH, "other.jsonl")):
        os.remove(os.path.join(SCRATCH, "other.jsonl"))
    return code, said.decode()


def run(command, environment):
    answers = "\n" * 60 if command == ASKS else ""
    done = subprocess.run(["bash", "-c", command], cwd=SCRATCH, env=environment, input=answers, timeout=LONGEST_S,
                          stdout=subprocess.PIPE, stderr=subprocess.STDOUT, check=False, text=True, errors="replace")
    return done.returncode, done.stdout


def main():
    shutil.rmtree(SCRATCH, ignore_errors=True)
    os.makedirs(SCRATCH)
    shutil.copytree(os.path.join(CHECKOUT, "demo"), os.path.join(SCRATCH, "demo"))
    environment = {**os.environ, "PATH": PROGRAMS + os.pathsep + os.environ["PATH"], "LC_ALL": "C.UTF-8"}
    toured = commands()
    if len(toured) < 30:
        sys.exit(f"only {len(toured)} commands found in README.md's tours")
    failed = 0
    for command in toured:
        begun = time.monotonic()
        code, said = serve(command, environment) if SERVES.match(command) else run(command, environment)
        print(f"{time.monotonic() - begun:6.1f} s  {command}")
        if code != 0:
            failed += 1
            print(f"README.md: `{command}` ended with {code}:\n{said[-1500:]}")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
