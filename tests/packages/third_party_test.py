#!/usr/bin/env python3
"""docs/third_party.md against this system and this build: every library that a program loads or includes has a row, with the
version and the licence that its own files say; pages with the chart library carry its notice. third_party_test.py SOURCE BUILD
WORK"""

import json
import pathlib
import re
import subprocess
import sys
import unittest

from installed import BUILD, SOURCE, empty_work, run

sys.argv[1:] = []
MODULES = SOURCE / "build/npm/node_modules"
# What a row is called here, by the name of a shared library or the first folder of an #include.
LOADED = {"libfmt": "fmt", "libtomlplusplus": "toml++",
          "libstdc++": "GNU C++ library", "libgcc_s": "GNU C++ library", "libc": "GNU C library", "libm": "GNU C library",
          "ld-linux-x86-64": "GNU C library"}
INCLUDED = {"boost": "Boost", "Eigen": "Eigen", "CLI": "CLI11", "nlohmann": "nlohmann-json", "fmt": "fmt",
            "toml++": "toml++", "fast_float": "fast_float"}
OF_THE_SYSTEM = {"arpa", "netinet", "sys"}


def rows():
    """Name before a bracket: version, licence, use, paths."""
    found = {}
    for line in re.findall(r"^\| (.*) \|$", (SOURCE / "docs/third_party.md").read_text(), re.M):
        name, version, licence, use, paths = (cell.strip() for cell in line.split("|"))
        if name not in ("library", "---"):
            found[name.split(" (")[0]] = (version, licence, use, re.findall(r"[^ ,]+", paths))
    return found


class ThirdParty(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.work = empty_work()
        cls.rows = rows()

    def test_every_library_that_a_program_loads_has_a_row_that_names_it(self):
        for program in ("ampturn", "ampturn-sim"):
            dynamic = run("readelf", "-d", BUILD / "bin" / program)
            loaded = {LOADED[name] for name in re.findall(r"NEEDED.*\[([\w+-]+)\.so", dynamic)}
            self.assertGreater(len(loaded), 3)
            for name in loaded:
                self.assertRegex(self.rows[name][2], rf"(`{program}`|both programs) load")

    def test_every_include_from_outside_has_a_row(self):
        seen = set()
        for top in ("model", "scheduler", "firmware-sim"):
            for path in (SOURCE / top).rglob("*.?pp"):
                for name in re.findall(r"^#include <([\w+.-]+)[/>]", path.read_text(), re.M):
                    if name in INCLUDED:
                        seen.add(INCLUDED[name])
                    elif "." in name or name in OF_THE_SYSTEM:
                        self.assertTrue(name in OF_THE_SYSTEM or name.endswith(".h"), f"{path}: {name}")
                    else:
                        self.assertRegex(name, r"^[a-z_0-9]+$", f"{path}: {name}")  # of the C++ library
        self.assertEqual(seen, set(INCLUDED.values()))
        self.assertEqual(seen - self.rows.keys(), set())

    def test_versions_and_licences_are_those_of_their_own_files(self):
        checked = 0
        for name, (version, licence, _, paths) in self.rows.items():
            text = (SOURCE / paths[0]).read_text()  # an absolute path stays one
            if package := re.match(r"/usr/share/doc/([^/]+)/copyright", paths[0]):
                done = subprocess.run(["dpkg-query", "-W", "-f=${Version}", package[1]], capture_output=True, text=True, check=True)
                self.assertRegex(done.stdout, rf"^(\d+:)?{re.escape(version)}[+-]", name)
                if "Format: " in text.split("\n", 1)[0]:
                    self.assertRegex(text, rf"(?m)^License: *{re.escape(licence)}$", name)
            else:
                module = paths[0].split("/")[3]
                meta = json.loads((MODULES / module / "package.json").read_text())
                if name != "d3":
                    self.assertEqual((meta["version"], meta["license"]), (version, licence), name)
            for path in paths[1:]:
                self.assertTrue(pathlib.Path(path).exists(), path)
            checked += 1
        self.assertGreater(checked, 10)

    def notices(self):
        return [(MODULES / name).read_text().strip() for name in
                ("echarts/NOTICE", "echarts/LICENSE", "echarts/licenses/LICENSE-d3", "zrender/LICENSE", "tslib/LICENSE.txt")]

    def test_pages_with_charts_carry_the_notice_of_the_chart_library(self):
        plan = SOURCE / "demo/quick.toml"
        run(BUILD / "bin/ampturn", "transmitter", plan, "--out", "transmitter")
        run(BUILD / "bin/ampturn", "reach", plan, "--out", "reach")
        pages = sorted(self.work.rglob("*.html"))
        self.assertGreaterEqual(len(pages), 2)
        for page in pages:
            text = page.read_text()
            comment = re.search(r"<!-- Chart library in this page:(.*?)-->\n<script>", text, re.S)[1]
            for notice in self.notices():
                self.assertIn(notice, comment, page)

    def test_no_page_of_the_checkout_holds_the_chart_library_without_the_frame(self):
        users = [path for top in ("scheduler", "firmware-sim") for path in (SOURCE / top).rglob("CMakeLists.txt")
                 if "AMPTURN_ECHARTS" in path.read_text()]
        self.assertEqual(len(users), 2)
        for path in users:
            self.assertIn("AMPTURN_ECHARTS_NOTICE", path.read_text(), path)

    def test_what_is_inside_the_programs_goes_with_them(self):
        text = (BUILD / "package/third-party-notices.txt").read_text()
        for notice in self.notices()[1:]:
            self.assertIn(notice, text)
        for package in ("libcli11-dev", "nlohmann-json3-dev", "libeigen3-dev", "libfast-float-dev", "musl-dev"):
            self.assertIn(pathlib.Path(f"/usr/share/doc/{package}/copyright").read_text().strip(), text)


if __name__ == "__main__":
    unittest.main(verbosity=0)
