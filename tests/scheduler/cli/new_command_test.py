#!/usr/bin/env python3
"""`ampturn new`: with flags, with a file, on a terminal; what it writes is checked, searched and rehearsed by the other commands.

    tests/scheduler/cli/new_command_test.py AMPTURN"""
import os
import pty
import subprocess
import sys
import tempfile
import unittest

PROGRAM = sys.argv.pop(1) if len(sys.argv) > 1 else ""


def run(*words, text=None):
    return subprocess.run([PROGRAM, *words], input=text, stdin=None if text is not None else subprocess.DEVNULL,
                          capture_output=True, text=True, check=False)


def talk(path, lines, *words):
    """On a terminal of its own: exit code and all it said."""
    child, terminal = pty.fork()
    if child == 0:
        os.execv(PROGRAM, [PROGRAM, "new", path, *words])
    said = b""
    for line in lines:
        while not said.endswith(b"]: "):
            said += os.read(terminal, 4096)
        os.write(terminal, line.encode())
        said += b" "
    try:
        while piece := os.read(terminal, 4096):
            said += piece
    except OSError:
        pass
    code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    os.close(terminal)
    return code, said.decode()


class NewCommand(unittest.TestCase):
    def setUp(self):
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        self.folder, self.path = folder.name, os.path.join(folder.name, "first.toml")

    def read(self):
        with open(self.path, encoding="utf-8") as file:
            return file.read()

    def test_what_it_writes_runs(self):
        made = run("new", self.path, "--invented", "true", "--station-count", "2", "--frequency-count", "3")
        self.assertEqual((made.returncode, made.stderr), (0, ""))
        self.assertIn("# default: dwell_s not answered", self.read())
        for words in (["check"], ["reach"], ["day", "--summary"]):
            done = run(words[0], self.path, *words[1:])
            self.assertEqual((done.returncode, done.stderr), (0, ""), words)
            self.assertTrue(done.stdout)

    def test_a_file_that_is_there_stays(self):
        with open(self.path, "w", encoding="utf-8") as file:
            file.write("mine")
        refused = run("new", self.path)
        self.assertEqual((refused.returncode, refused.stderr.count("\n")), (2, 1))
        self.assertIn("--overwrite", refused.stderr)
        self.assertEqual(self.read(), "mine")
        self.assertEqual(run("new", self.path, "--overwrite").returncode, 0)
        self.assertIn("made by answers", self.read())

    def test_bad_answers_write_nothing(self):
        refused = run("new", self.path, "--loop-turns", "-3")
        self.assertEqual((refused.returncode, refused.stderr.count("\n")), (2, 1), refused.stderr)
        self.assertIn("--loop-turns: loop_turns: found -3, allowed a whole number, 1 to 50", refused.stderr)
        answers = run("new", self.path, "--answers", "-", text="dwell_s = 30\nmains_hz = 900\n")
        self.assertEqual(answers.returncode, 2)
        self.assertIn("standard input:2:12: mains_hz: found 900", answers.stderr)
        self.assertEqual(os.listdir(self.folder), [])

    def test_a_file_and_flags(self):
        made = run("new", self.path, "--answers", "-", "--mains-hz", "60", text="dwell_s = 30\nmains_hz = 50\n")
        self.assertEqual((made.returncode, made.stderr), (0, ""))
        self.assertIn("\ndwell_s = 30\n", self.read())
        self.assertIn("\nmains_hz = 60\n", self.read(), "definition: a flag goes before the file")

    def test_the_commands_of_the_readme(self):
        with open(os.path.join(os.path.dirname(__file__), "../../../README.md"), encoding="utf-8") as file:
            commands = [line.split("#")[0].split() for line in file if line.startswith("    ampturn new ")]
        self.assertEqual(len(commands), 2)
        for words in commands:
            done = subprocess.run([PROGRAM, *words[1:]], cwd=self.folder, stdin=subprocess.DEVNULL, capture_output=True,
                                  text=True, check=False)
            self.assertEqual((done.returncode, done.stderr), (0, ""))
        self.assertIn("thickness_m = [30]\n", self.read())

    def test_a_terminal_is_asked_again(self):
        count = 23  # questions without these two
        code, said = talk(self.path, ["Moor\n"] + ["\n"] * 4 + ["none\n", "3\n"] + ["\n"] * (count - 6),
                          "--mains-hz", "60", "--dwell-s", "10")
        self.assertEqual(code, 0, said)
        self.assertIn("station_count: found the text \"none\", allowed a whole number, 1 to 200", said)
        self.assertIn('name = "Moor"\n', self.read())
        self.assertEqual(self.read().count("[[station]]"), 3)

    def test_a_terminal_that_ends(self):
        code, said = talk(self.path, ["\x04"])
        self.assertEqual(code, 2)
        self.assertIn("survey_name: found the end of the answers", said)
        self.assertEqual(os.listdir(self.folder), [])


if __name__ == "__main__":
    unittest.main()
