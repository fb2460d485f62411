#!/usr/bin/env python3
"""tests/planner/same_bytes.py BIN_FOLDER PLANNER_JS demos|random_plans [PLANS]: the planner in a browser's machine gives the bytes of
the program.

Every command on both demo plans, or three commands on each of so many random plans (200 without a number): exit code, standard
output, standard error and files have to be equal. Prints what differs first, where it does; a random plan is kept.
Independent: the same C++ by another compiler, with another standard library, for another machine.
"""
import base64
import json
import os
import pathlib
import random
import shutil
import subprocess
import sys
import tempfile

ROOT = pathlib.Path(__file__).resolve().parents[2]
RUNS = ["--runs", "40"]
# Words after the program's name; PLAN is the plan, files appear below out.
COMMANDS = [
    ["--help"], ["--version"], ["explain"], ["explain", "receiver.record_length"], ["explain", "--markdown"],
    ["check", "PLAN"], ["check", "PLAN", "--set", "battery.spare=1"],
    ["day", "PLAN"], ["day", "PLAN", "--json"], ["day", "PLAN", "--summary"], ["day", "PLAN", "--out", "out"],
    ["day", "PLAN", "--make-it-go"], ["day", "PLAN", "--batteries", "3", "--start", "09:10", "--temperature", "-12.5", "--json"],
    ["day", "PLAN", "--order", "improved", "--json"], ["day", "PLAN", *RUNS, "--json"],
    ["reach", "PLAN"], ["reach", "PLAN", "--json"], ["reach", "PLAN", "--out", "out"], ["reach", "PLAN", "--grid", "800", "--margin", "400", "--json"],
    ["tune", "PLAN", "--quick", "--json"], ["tune", "PLAN", "--minimise", "time", "--out", "out", "--new-plan", "out.toml"],
    ["transmitter", "PLAN"], ["transmitter", "PLAN", "--json"], ["transmitter", "PLAN", "--csv"], ["transmitter", "PLAN", "--out", "out"],
    ["transmitter", "PLAN", "--vary", "loop_a.turns=2:6:3", "--json"],
    ["curve", "PLAN"], ["curve", "PLAN", "--csv"], ["curve", "PLAN", "--json"], ["curve", "PLAN", "--chart", "out.svg", "--edi", "out"],
    ["frequencies", "PLAN"], ["frequencies", "PLAN", "--json"], ["sheet", "PLAN", "--out", "out.html", "--receivers", "out"],
    ["table", "PLAN"], ["table", "PLAN", "--to", "image"], ["table", "PLAN", "--to", "hex"], ["table", "PLAN", "--to", "header"],
    ["table", "PLAN", "--to", "csv"], ["trace", "PLAN"], ["compare", "PLAN", "demo/tuned.toml"], ["weigh", "PLAN", "--json"],
    ["rehearse", "PLAN", "--json", "--runs", "20"], ["rehearse", "PLAN", "--out", "out", "--runs", "20"],
    ["days", "demo/ostrel/ostrel.toml", "--summary"],
    ["check", "no_such_plan.toml"], ["day"], ["dya", "PLAN"], ["day", "PLAN", "--batteries", "many"],
]
# A day of the larger demo is rehearsed by the program itself for half a minute.
TOO_LONG = {"demo/vesslarook.toml": ("rehearse",)}
OF_RANDOM_PLANS = [["check", "PLAN"], ["day", "PLAN", "--json"], ["reach", "PLAN", "--json"], ["tune", "PLAN", "--quick", "--json"],
                   ["transmitter", "PLAN", "--json"], ["curve", "PLAN", "--json"], ["frequencies", "PLAN"], ["table", "PLAN", "--to", "hex"],
                   ["day", "PLAN", "--runs", "20", "--json"]]


class Native:
    def __init__(self, program):
        self.program = program

    def run(self, folder, words, out):
        done = subprocess.run([self.program, *words[1:]], cwd=folder, capture_output=True, check=False, stdin=subprocess.DEVNULL)
        files = {}
        for name in out:
            paths = [folder / name] if (folder / name).is_file() else sorted((folder / name).rglob("*"))
            files |= {str(path.relative_to(folder)): path.read_bytes() for path in paths if path.is_file()}
        return {"code": done.returncode, "said": done.stdout, "complained": done.stderr, "files": files}


class Browser:
    def __init__(self, script):
        harness = pathlib.Path(__file__).with_name("planner_in_node.mjs")
        self.process = subprocess.Popen(["node", harness, script], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)

    def run(self, words, files, out, fresh):
        job = {"words": words, "files": {path: base64.b64encode(data).decode() for path, data in files.items()}, "out": out, "fresh": fresh}
        self.process.stdin.write(json.dumps(job) + "\n")
        self.process.stdin.flush()
        line = self.process.stdout.readline()
        if not line:
            sys.exit(f"the planner ended at {' '.join(words)}")
        answer = json.loads(line)
        if "died" in answer:
            sys.exit(f"the planner died at {' '.join(words)}: {answer['died']}")
        return {"code": answer["code"], "said": base64.b64decode(answer["said"]), "complained": base64.b64decode(answer["complained"]),
                "files": {path: base64.b64decode(data) for path, data in answer["files"].items()}}


def first_difference(a, b):
    for at, (x, y) in enumerate(zip(a, b)):
        if x != y:
            return f"byte {at}: {a[max(0, at - 60):at + 40]!r} against {b[max(0, at - 60):at + 40]!r}"
    return f"{len(a)} bytes against {len(b)}"


def differences(program, browser):
    found = []
    if program["code"] != browser["code"]:
        found.append(f"exit code {program['code']} against {browser['code']}: {browser['complained'][:300]!r}")
    for name in ("said", "complained"):
        if program[name] != browser[name]:
            found.append(f"{name}: {first_difference(program[name], browser[name])}")
    if program["files"].keys() != browser["files"].keys():
        found.append(f"files {sorted(program['files'])} against {sorted(browser['files'])}")
    for path in program["files"].keys() & browser["files"].keys():
        if program["files"][path] != browser["files"][path]:
            found.append(f"{path}: {first_difference(program['files'][path], browser['files'][path])}")
    return found


def random_plan(native, folder, draw):
    """A plan of the program's own questions, with random answers."""
    low = round(10 ** draw.uniform(1.5, 3.2), 1)
    answers = {"station-count": draw.randint(1, 6), "station-spacing-m": round(10 ** draw.uniform(1, 2.7), 1),
               "line-azimuth-deg": round(draw.uniform(-180, 180), 1), "first-offset-m": round(10 ** draw.uniform(2, 3.6), 1),
               "resistivity-ohm-m": f"[{round(10 ** draw.uniform(0, 4), 2)}, {round(10 ** draw.uniform(0, 4), 2)}]",
               "thickness-m": f"[{round(10 ** draw.uniform(0.5, 2.8), 2)}]", "loop-side-m": round(draw.uniform(2, 20), 2),
               "loop-turns": draw.randint(1, 8), "current-a-peak": round(draw.uniform(1, 25), 2), "battery-sets": draw.randint(1, 3),
               "frequency-low-hz": low, "frequency-high-hz": round(low * 10 ** draw.uniform(0.5, 1.5), 1),
               "frequency-count": draw.randint(1, 8), "dwell-s": draw.randint(2, 40), "mains-hz": draw.choice([0, 50, 60]),
               "dipole-m": draw.randint(5, 60), "date": "2030-05-17", "survey-name": "Random", "invented": "true"}
    words = [word for name, value in answers.items() for word in (f"--{name}", str(value))]
    done = native.run(folder, ["ampturn", "new", "random.toml", "--defaults", "--overwrite", *words], ["random.toml"])
    return done["files"].get("random.toml") if done["code"] == 0 else None


def main():
    native, browser = Native(pathlib.Path(sys.argv[1]).resolve() / "ampturn"), Browser(sys.argv[2])
    what, plans = sys.argv[3], int(sys.argv[4]) if len(sys.argv) > 4 else 200
    if not pathlib.Path(sys.argv[2]).exists():
        sys.exit(f"{sys.argv[2]} is not built: .ci/build web planner")
    compared = different = 0

    def compare(folder, words, files, fresh):
        nonlocal compared, different
        out = ["out", "out.html", "out.svg", "out.toml"]
        for name in out:
            shutil.rmtree(folder / name, ignore_errors=True)
            (folder / name).unlink(missing_ok=True)
        wrong = differences(native.run(folder, words, out), browser.run(words, files, out, fresh))
        compared += 1
        if wrong:
            different += 1
            kept = pathlib.Path(tempfile.gettempdir()) / f"planner_differs_{different}.toml"
            if "random.toml" in words:
                kept.write_bytes(files["random.toml"])
                wrong.append(f"the plan is kept in {kept}")
            print(" ".join(words) + "\n    " + "\n    ".join(wrong), flush=True)

    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        shutil.copytree(ROOT / "demo", folder / "demo", ignore=shutil.ignore_patterns("out", "run"))
        demo = {str(path.relative_to(folder)): path.read_bytes() for path in (folder / "demo").rglob("*") if path.is_file()}
        for plan in ("demo/quick.toml", "demo/vesslarook.toml") if what == "demos" else ():
            for words in COMMANDS:
                if words[0] not in TOO_LONG.get(plan, ()) and (plan == "demo/quick.toml" or "PLAN" in words):
                    compare(folder, ["ampturn", *(plan if word == "PLAN" else word for word in words)], demo, True)
        draw = random.Random(5)
        made = 0
        while what == "random_plans" and made < plans:
            text = random_plan(native, folder, draw)
            if text is None:
                continue
            for words in draw.sample(OF_RANDOM_PLANS, 3):
                compare(folder, ["ampturn", *("random.toml" if word == "PLAN" else word for word in words)], {"random.toml": text}, False)
            made += 1
    print(f"{compared} commands, {different} of them differ")
    return 1 if different else 0


if __name__ == "__main__":
    os.environ["LC_ALL"] = "C"
    sys.exit(main())
