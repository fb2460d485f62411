#!/usr/bin/env python3
"""The same bytes on every machine: every command, text and files, on both demos and on a plan whose stations lie in line with
the loops (terms cancel there), with the maths library as it is and without fused multiply-add, with one thread and with two.
same_bytes_test.py AMPTURN SOURCE_DIR WORK_DIR"""

import os
import pathlib
import shutil
import subprocess
import sys
import unittest

AMPTURN, SOURCE, WORK = sys.argv[1], pathlib.Path(sys.argv[2]), pathlib.Path(sys.argv[3])
IN_LINE = ["--set", "station[1].bearing_deg=0", "--set", "station[2].bearing_deg=90"]
PLANS = {
    "quick": ["demo/quick.toml"],
    "in_line": ["demo/quick.toml", *IN_LINE],
    "vesslarook": ["demo/vesslarook.toml"],
}
# Words behind the plan, then whether the command takes --threads.
COMMANDS = [
    (["check"], False),
    (["frequencies"], False),
    (["frequencies", "--json"], False),
    (["transmitter", "--json"], False),
    (["transmitter", "--out", "OUT"], False),
    (["reach", "--out", "OUT"], True),
    (["reach", "--grid", "300", "--out", "OUT"], True),
    (["reach", "--grounds", "demo/grounds.jsonl", "--rows", "OUT/rows.jsonl"], True),
    (["tune", "--out", "OUT"], True),
    (["day"], True),
    (["day", "--order", "improved", "--json"], True),
    (["day", "--runs", "6", "--seed", "3", "--out", "OUT"], True),
    (["sheet", "--out", "OUT/sheet.html"], False),
    (["curve", "--csv"], True),
    (["curve", "--json", "--edi", "OUT"], True),
    (["curve", "--chart", "OUT/curve.svg"], True),
    (["table", "--to", "csv"], False),
]
ALONE = [["days", "demo/three_days.toml", "--draws", "8", "--out", "OUT"], ["fields", "tests/reference/em/cases_open.json"], ["explain", "--markdown"]]
# glibc chooses variants of exp, sin, pow ... by what the processor can do; these names hide it. On a machine or a library
# without such variants both runs are the same code, and the test says less.
WITHOUT_FMA = "glibc.cpu.hwcaps=-FMA,-AVX2,-FMA4,-AVX2_Usable,-FMA_Usable,-FMA4_Usable"


def run(words, folder, without_fma):
    environment = dict(os.environ)
    if without_fma:
        environment["GLIBC_TUNABLES"] = WITHOUT_FMA
    out = folder / "files"
    shutil.rmtree(folder, ignore_errors=True)
    out.mkdir(parents=True)
    done = subprocess.run([AMPTURN, *(w.replace("OUT", str(out)) for w in words)], cwd=SOURCE, env=environment,
                          capture_output=True)
    assert done.returncode == 0, (words, done.stderr.decode())
    files = {str(path.relative_to(out)): path.read_bytes() for path in sorted(out.rglob("*")) if path.is_file()}
    files["standard output"] = done.stdout.replace(str(out).encode(), b"OUT")
    return files


class SameBytes(unittest.TestCase):
    def expect_same(self, words, takes_threads):
        one = run(words + (["--threads", "1"] if takes_threads else []), WORK / "one", False)
        other = run(words + (["--threads", "2"] if takes_threads else []), WORK / "other", True)
        self.assertEqual(one.keys(), other.keys())
        self.assertTrue(any(one.values()), "nothing was written")
        for name, content in one.items():
            lines, others = content.splitlines(), other[name].splitlines()
            different = sum(a != b for a, b in zip(lines, others)) + abs(len(lines) - len(others))
            self.assertEqual(different, 0, f"{' '.join(words)}: {different} of {len(lines)} lines of {name} differ")

    def test_commands_on_plans(self):
        for name, plan in PLANS.items():
            for (command, *rest), takes_threads in COMMANDS:
                with self.subTest(plan=name, command=command):
                    self.expect_same([command, *plan, *rest], takes_threads)

    def test_senders_weighed(self):
        self.expect_same(["weigh", "demo/quick.toml", "demo/parts.toml", "--out", "OUT"], True)

    def test_commands_alone(self):
        for words in ALONE:
            with self.subTest(command=words[0]):
                self.expect_same(words, False)


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1], verbosity=1)
