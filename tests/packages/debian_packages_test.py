#!/usr/bin/env python3
"""The Debian packages of this build: the same bytes when packed twice, fields, lintian, installed into an empty root, run there,
removed without a trace. Of the same bytes from two builds: tests/packages/reproducible. debian_packages_test.py SOURCE BUILD WORK"""

import gzip
import os
import re
import subprocess
import sys
import unittest

from installed import BUILD, SOURCE, WORK, empty_work, files_below, is_there, run

sys.argv[1:] = []
for needed in ("dpkg-shlibdeps", "dpkg-deb"):
    if not is_there(needed):
        print(f"skipped: {needed} is not installed (Debian package dpkg-dev)")
        sys.exit(77)
NAMES = ("ampturn", "ampturn-sim", "libampturn-dev")
VERSION = re.search(r"project\(ampturn VERSION ([\d.]+)", (SOURCE / "CMakeLists.txt").read_text())[1]


def packed(folder):
    run(SOURCE / ".ci/package/debs", BUILD, folder)
    return sorted(folder.glob("*.deb"), key=lambda package: package.name.split("_")[0])


class DebianPackages(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        empty_work()
        cls.packages = packed(WORK / "first")

    def test_packed_twice_the_same_bytes(self):
        self.assertEqual([package.name.split("_")[0] for package in self.packages], list(NAMES))
        os.utime(BUILD / "bin/ampturn")  # a build at another time
        for one, other in zip(self.packages, packed(WORK / "second"), strict=True):
            self.assertEqual(one.read_bytes(), other.read_bytes(), one.name)

    def field(self, package, name):
        return run("dpkg-deb", "-f", package, name).strip()

    def test_fields(self):
        for package, name in zip(self.packages, NAMES):
            self.assertEqual(self.field(package, "Package"), name)
            self.assertEqual(self.field(package, "Version"), f"{VERSION}-1")
            self.assertEqual(self.field(package, "Section"), "libdevel" if name.endswith("-dev") else "science")
            self.assertGreater(len(self.field(package, "Description").splitlines()), 3)
            for wanted in self.field(package, "Depends").split(", "):
                depended = re.match(r"([\w.+-]+)(?: \((>=) (.+)\))?$", wanted)
                there = run("dpkg-query", "-W", "-f=${Version}", depended[1])
                if depended[2]:
                    run("dpkg", "--compare-versions", there, "ge", depended[3])
        # What each links, by readelf on its own: the packages that own these libraries.
        for package, name in zip(self.packages[:2], NAMES):
            for library in re.findall(r"NEEDED.*\[(.+)\]", run("readelf", "-d", BUILD / "bin" / name)):
                owners = re.findall(r"^([\w.+-]+)", run("dpkg-query", "-S", f"*/{library}"), re.M)
                depends = re.findall(r"([\w.+-]+)(?: \([^)]*\))?(?:, |$)", self.field(package, "Depends"))
                self.assertTrue(set(owners) & set(depends), library)

    def test_changelog_copyright_and_pages(self):
        changes = (SOURCE / "docs/changes.md").read_text()
        for package, name in zip(self.packages, NAMES):
            out = WORK / f"out-{name}"
            run("dpkg-deb", "-x", package, out)
            documents = out / "usr/share/doc" / name
            self.assertRegex(gzip.decompress((documents / "changelog.Debian.gz").read_bytes()).decode(),
                             rf"^{name} \({re.escape(VERSION)}-1\) unstable;")
            self.assertEqual(gzip.decompress((documents / "changelog.gz").read_bytes()).decode(), changes)
            self.assertIn("All rights are reserved by the Ampturn authors.", (documents / "copyright").read_text())
            self.assertIn("Apache ECharts", gzip.decompress((documents / "third-party-notices.txt.gz").read_bytes()).decode())
            for page in (out / "usr/share").glob("man/*/*"):
                head = page.read_bytes()[:10]  # RFC 1952: no time, no name, best compression
                self.assertEqual((head[3], head[4:8], head[8]), (0, bytes(4), 2), page)
            for path in out.rglob("bin/*"):
                self.assertNotIn(".symtab", run("readelf", "-S", path))

    @unittest.skipUnless(is_there("lintian"), "lintian is not installed")
    def test_lintian_finds_no_error(self):
        done = subprocess.run(["lintian", "--allow-root", "--fail-on", "error", *map(str, self.packages)], capture_output=True, text=True)
        self.assertEqual((done.returncode, re.findall(r"^E: .*", done.stdout, re.M)), (0, []), done.stdout + done.stderr)

    def test_installed_run_and_removed(self):
        root = WORK / "root"
        for folder in ("updates", "info"):
            (root / "var/lib/dpkg" / folder).mkdir(parents=True)
        for file in ("status", "available"):
            (root / "var/lib/dpkg" / file).write_text("")
        # What they depend on is on this system, not in that root.
        dpkg = ["dpkg", f"--root={root}", "--force-not-root", "--force-depends", "--log=/dev/null"]
        if os.geteuid() != 0:
            if not is_there("fakeroot"):
                self.skipTest("needs root or fakeroot")
            dpkg = ["fakeroot", *dpkg]
        run(*dpkg, "--install", *self.packages)
        self.assertEqual(len(re.findall(r"^ii ", run(*dpkg, "--list"), re.M)), 3)
        self.assertIn(f"ampturn {VERSION} ", run(root / "usr/bin/ampturn", "--version"))
        run(root / "usr/bin/ampturn", "check", root / "usr/share/ampturn/demo/vesslarook.toml")
        run(root / "usr/bin/ampturn-sim", "drill", "--check", root / "usr/share/ampturn/demo/drills/thunder.toml")
        for page in ("man1/ampturn.1.gz", "man1/ampturn-sim.1.gz", "man5/ampturn-plan.5.gz"):
            self.assertTrue((root / "usr/share/man" / page).is_file(), page)
        run(*dpkg, "--remove", *NAMES)
        run(*dpkg, "--purge", *NAMES)
        left = [name for name in files_below(root) if not name.startswith("var/lib/dpkg/")]
        self.assertEqual(left, [])
        self.assertFalse((root / "usr/share/ampturn").exists())


if __name__ == "__main__":
    unittest.main(verbosity=0)
