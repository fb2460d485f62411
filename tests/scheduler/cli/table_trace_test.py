#!/usr/bin/env python3
"""`ampturn table` and `ampturn trace` as a person uses them: table_trace_test.py AMPTURN SOURCE_DIR WORK_DIR"""

import pathlib
import re
import subprocess
import sys
import unittest

AMPTURN, SOURCE, WORK = sys.argv[1], pathlib.Path(sys.argv[2]), pathlib.Path(sys.argv[3])
WORK.mkdir(parents=True, exist_ok=True)
CORPUS = SOURCE / "tests/fuzz/table_corpus"


def run(*words):
    return subprocess.run([AMPTURN, *map(str, words)], capture_output=True)


class Table(unittest.TestCase):
    def test_every_form_becomes_every_other_and_comes_back(self):
        image = (CORPUS / "three_steps.bin").read_bytes()
        for source in ("three_steps.bin", "three_steps.hex", "three_steps.h", "three_steps.csv"):
            for form, name in (("image", "t.bin"), ("hex", "t.hex"), ("header", "t.h"), ("csv", "t.csv")):
                self.assertEqual(run("table", CORPUS / source, "--to", form, "--out", WORK / name).returncode, 0)
                back = run("table", WORK / name, "--to", "image")
                self.assertEqual((back.returncode, back.stdout), (0, image), f"{source} through {form}")

    def test_a_plan_gives_the_table_its_unit_runs(self):
        plan = SOURCE / "demo/quick.toml"
        self.assertEqual(run("table", plan, "--to", "image", "--out", WORK / "plan.bin").returncode, 0)
        shown, again = run("table", plan, "--show"), run("table", WORK / "plan.bin", "--show")
        self.assertEqual(shown.returncode, 0)
        made_for, rest = shown.stdout.split(b"\n", 1)  # which a stored table does not say
        self.assertRegex(made_for.decode(), r"^made for \S+ C and a battery at 50 % of its charge$")
        self.assertEqual(rest, again.stdout)
        self.assertRegex(rest.decode().split("\n")[0], r"^table [0-9A-F]{8}: steps \d+, .* CRC-32 [0-9A-F]{8}$")

    def test_a_damaged_image_is_one_clear_line_and_exit_code_2(self):
        image = bytearray((CORPUS / "three_steps.bin").read_bytes())
        image[50] ^= 4
        (WORK / "damaged.bin").write_bytes(image)
        result = run("table", WORK / "damaged.bin", "--to", "hex", "--out", WORK / "never.hex")
        self.assertEqual(result.returncode, 2)
        self.assertEqual(result.stderr.count(b"\n"), 1)
        self.assertIn(b"damaged.bin: found 112 bytes: the checksum does not fit, allowed", result.stderr)
        self.assertFalse((WORK / "never.hex").exists())

    def test_other_bad_input_too(self):
        (WORK / "empty").write_bytes(b"")
        for words in (("table", "/nowhere"), ("table", CORPUS / "three_steps.bin", "--to", "punched-tape"),
                      ("table", WORK / "empty"), ("table", CORPUS / "three_steps.csv", "--set", "a=1"),
                      ("table", CORPUS / "three_steps.csv", "--to", "csv", "--out", "/nowhere/t.csv"),
                      ("table", CORPUS / "three_steps.bin", "--to", "csv", "--show")):
            self.assertEqual(run(*words).returncode, 2, words)


class Trace(unittest.TestCase):
    def test_the_example_of_the_help_runs(self):
        text = run("trace", "--help").stdout.decode()
        script = re.search(r"printf '([^']+)'", text).group(1).replace("\\n", "\n")
        (WORK / "first.trace").write_text(re.sub(r"\n\s+", "\n", script))
        result = run("trace", WORK / "first.trace")
        self.assertEqual(result.returncode, 0, result.stderr)
        self.assertIn(b"state warning sending timeout", result.stdout)
        self.assertIn(b"144480000 drive on A 1 0 10000 ", result.stdout)
        self.assertEqual(run("trace", WORK / "first.trace").stdout, result.stdout)

    def test_bad_scripts_name_file_line_found_and_allowed(self):
        for line, found in (("fly", "fly"), ("wait", "wait"), ("wait 1h", "1h"), ("control dance", "dance"), ("set supply 3", "3"),
                            ("step 1 1 0 1 1 1 1 1 1", "step 1 1 0 1 1 1 1 1 1"), ("unit clock_hz 5", "5"), ("mark -1", "-1"),
                            ("load flip 9999", "9999"), ("unit colour 5", "colour")):
            (WORK / "bad.trace").write_text(f"# a comment\n{line}\n")
            result = run("trace", WORK / "bad.trace")
            self.assertEqual(result.returncode, 2, line)
            self.assertIn(f"bad.trace:2: found {found}, allowed ".encode(), result.stderr)


unittest.main(argv=sys.argv[:1])
