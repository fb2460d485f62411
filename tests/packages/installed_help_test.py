#!/usr/bin/env python3
"""Manual pages and completions against what the programs say with --help: every command and option is in both, pages are
without a warning, and the shells read the scripts. installed_help_test.py SOURCE BUILD WORK"""

import gzip
import re
import subprocess
import sys
import unittest

from installed import SOURCE, WORK, empty_work, installed, is_there, run

sys.argv[1:] = []


def plain(roff):
    """Text of a page without its fonts and escapes."""
    text = re.sub(r"\\f[BIR]", "", roff).replace("\\&", "")
    for escape, character in (("\\-", "-"), ("\\(aq", "'"), ("\\(ga", "`"), ("\\(ha", "^"), ("\\(ti", "~"), ("\\e", "\\")):
        text = text.replace(escape, character)
    return text


class InstalledHelp(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        empty_work()
        cls.prefix = installed(WORK / "prefix")
        cls.share = cls.prefix / "share"
        cls.options = {}  # program, command ("" for the program itself): its options
        for program in ("ampturn", "ampturn-sim"):
            own = cls.help_of(program)
            cls.options[program, ""] = cls.options_in(own)
            commands = re.findall(r"^  ([a-z]+) ", own.split("\nSubcommands:\n")[1].split("\n\n")[0], re.M)
            for command in commands:
                cls.options[program, command] = cls.options_in(cls.help_of(program, command))

    @classmethod
    def help_of(cls, program, *command):
        return run(cls.prefix / "bin" / program, *command, "--help")

    @staticmethod
    def options_in(text):
        listed = text.split("\nOptions:\n")[1]
        return [name for line in re.findall(r"^  (-\S+)", listed, re.M) for name in line.split(",")]

    def commands_of(self, program):
        return [command for name, command in self.options if name == program and command]

    def page(self, name):
        return gzip.decompress((self.share / f"man/man{name[-1]}/{name}.gz").read_bytes()).decode()

    def test_help_was_read(self):
        self.assertIn("day", self.commands_of("ampturn"))
        self.assertIn("drill", self.commands_of("ampturn-sim"))
        self.assertGreater(len(self.commands_of("ampturn")), 15)
        self.assertIn("--order", self.options["ampturn", "day"])
        self.assertIn("-o", self.options["ampturn-sim", "logsheet"])

    def test_pages_have_every_command_and_option(self):
        for (program, command), options in self.options.items():
            page = self.page(f"{program}.1")
            section = page.split(f"\n.SS {command}\n")[1].split("\n.SS ")[0] if command else page.split("\n.SH COMMANDS\n")[0]
            headings = [name for line in re.findall(r"^\.TP\n(.*)$", section, re.M)
                        for name in re.findall(r"(?<!\S)(-[-\w]+)", plain(line))]
            self.assertEqual(sorted(headings), sorted(options), f"{program} {command}")

    def test_the_plan_page_has_every_key(self):
        keys = re.findall(r"^\| `(\w+)` \|", (SOURCE / "docs/configuration.md").read_text(), re.M)
        self.assertGreater(len(keys), 200)
        self.assertEqual(re.findall(r"^\.TP\n\\fB(\w+)\\fR", self.page("ampturn-plan.5"), re.M), keys)

    def test_pages_are_without_a_warning(self):
        for name in ("ampturn.1", "ampturn-sim.1", "ampturn-plan.5"):
            (WORK / name).write_text(self.page(name))
            done = subprocess.run(["man", "--warnings", "-l", "-Tutf8", WORK / name], capture_output=True, text=True)
            self.assertEqual((done.returncode, done.stderr), (0, ""), name)
            if is_there("mandoc"):
                done = subprocess.run(["mandoc", "-Tlint", WORK / name], capture_output=True, text=True)
                self.assertEqual(done.stdout, "", name)

    def completed(self, line, program="ampturn", folder=None):
        """What a real bash offers for the last word of a line."""
        words = line.split(" ")
        script = (f"source {self.share}/bash-completion/completions/{program}\n"
                  f"COMP_WORDS=({' '.join(repr(word) for word in words)}); COMP_CWORD={len(words) - 1}\n"
                  "function=$(complete -p " + program + "); function=${function#*-F }; ${function%% *}\n"
                  "printf '%s\\n' \"${COMPREPLY[@]}\"")
        return run("bash", "--norc", "--noprofile", "-c", script, cwd=folder or WORK).split("\n")[:-1]

    def test_bash_offers_every_command_and_option(self):
        for (program, command), options in self.options.items():
            with self.subTest(program=program, command=command):
                offered = self.completed(" ".join([program, *([command] if command else []), "-"]), program)
                self.assertEqual(sorted(offered), sorted(options))
        for program in ("ampturn", "ampturn-sim"):
            self.assertEqual(self.completed(f"{program} ", program), self.commands_of(program))

    def test_bash_offers_words_files_or_nothing(self):
        folder = WORK / "files"
        folder.mkdir()
        for name in ("a plan.toml", "day.toml"):
            (folder / name).write_text("")
        # Definition: what a person typing expects.
        self.assertEqual(self.completed("ampturn day --order "), ["planned", "improved"])
        self.assertEqual(self.completed("ampturn day --order = i"), ["improved"])
        self.assertEqual(self.completed("ampturn day d", folder=folder), ["day.toml"])
        self.assertEqual(self.completed("ampturn day day.toml --out a", folder=folder), ["a plan.toml"])
        self.assertEqual(self.completed("ampturn day --runs "), [""])
        self.assertEqual(self.completed("ampturn table --to h"), ["hex", "header"])
        self.assertEqual(self.completed("ampturn explain d", folder=folder), [""])
        self.assertEqual(self.completed("ampturn-sim --plan d", "ampturn-sim", folder), ["day.toml"])
        self.assertEqual(self.completed("ampturn-sim --plan day.toml --spe", "ampturn-sim"), ["--speed"])

    def test_zsh_and_fish_have_every_option_and_read_the_scripts(self):
        for (program, command), options in self.options.items():
            zsh = (self.share / f"zsh/site-functions/_{program}").read_text()
            fish = (self.share / f"fish/vendor_completions.d/{program}.fish").read_text()
            lines = [line for line in fish.splitlines()
                     if (f"_from {command}'" in line if command else "-n __fish_use_subcommand -" in line)]
            section = zsh.split(f"\n                {command})\n")[1].split(";;")[0] if command else zsh.split("1:command")[0]
            for option in options:
                self.assertRegex(section, re.escape(f"'*{option}") + r"=?\[", f"zsh: {program} {command}")
                name = re.escape(option.replace("--", "-l ") if option.startswith("--") else "-s " + option[1:])
                self.assertTrue(any(re.search(rf" {name} ", line) for line in lines), f"fish: {program} {command} {option}")
            if is_there("zsh"):
                run("zsh", "-n", self.share / f"zsh/site-functions/_{program}")
            if is_there("fish"):
                run("fish", "-n", self.share / f"fish/vendor_completions.d/{program}.fish")

    @unittest.skipUnless(is_there("fish"), "fish is not installed")
    def test_fish_offers_them(self):
        script = self.share / "fish/vendor_completions.d/ampturn.fish"

        def offered(line):
            return [word.split("\t")[0] for word in run("fish", "-c", f"source {script}; complete -C '{line}'").splitlines()]
        self.assertEqual(sorted(offered("ampturn ")), sorted(self.commands_of("ampturn")))
        self.assertEqual(sorted(offered("ampturn day --order ")), ["improved", "planned"])
        self.assertEqual(sorted(offered("ampturn day --")), sorted(o for o in self.options["ampturn", "day"] if o.startswith("--")))


if __name__ == "__main__":
    unittest.main(verbosity=0)
