#!/usr/bin/env python3
"""What tests the manuals can fail: an example that is wrong, or that no test would run, is found."""
import os
import sys
import unittest

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import examples

TEXT = "a\nb\nc\nd\n"


class Examples(unittest.TestCase):
    def test_what_is_shown_stands_in_the_output(self):
        for shown in ([], ["a", "b", "c", "d"], ["a", "..."], ["...", "d"], ["...", "b", "c", "..."], ["a", "...", "d"], ["a ", "b", "c", "d"]):
            self.assertIsNone(examples.differs(shown, TEXT), shown)

    def test_what_is_not_there_is_found(self):
        for shown in (["a"], ["b", "..."], ["...", "c"], ["...", "b", "d", "..."], ["d", "...", "a"], ["a", "x", "c", "d"], ["...", "A", "..."], ["a", "b", "c", "d", "e"]):
            self.assertIsNotNone(examples.differs(shown, TEXT), shown)

    def test_only_the_commit_is_not_compared(self):
        self.assertIsNone(examples.differs(["by ampturn 0.1.0 (0123456789ab)"], "by ampturn 0.1.0 (ba9876543210-changed)\n"))
        self.assertIsNotNone(examples.differs(["by ampturn 0.1.0 (0123456789ab)"], "by ampturn 0.2.0 (0123456789ab)\n"))

    def test_blocks_that_no_test_runs_are_refused(self):
        for text in ("```\n$ ls\n```\n", "```sh\nls\n```\n", "Save:\n```toml a.toml\nx = 1\n```\n", "text\n\n    ampturn check a\n", "```console\n$ ls\n"):
            self.assertEqual(len(examples.blocks(text)[1]), 1, text)
        self.assertEqual(examples.blocks("Save as `a.toml`:\n\n```toml a.toml\nx = 1\n```\n")[1], [])

    def test_lines_to_change(self):
        self.assertEqual(examples.changed("x = 1\ny = 2\n", ["-x = 1", "+x = 3", "+z = 4"]), "x = 3\nz = 4\ny = 2\n")
        self.assertEqual(examples.changed("x = 1\n", ["+y = 2"]), "x = 1\ny = 2\n")
        for lines in (["-x = 2", "+x = 3"], ["-x"], ["x = 1"]):
            with self.assertRaises(ValueError):
                examples.changed("x = 1\nxx\n", lines)
        with self.assertRaises(ValueError):
            examples.changed("x = 1\nx = 1\n", ["-x = 1"])


if __name__ == "__main__":
    unittest.main()
