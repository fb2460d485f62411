#!/usr/bin/env python3
"""`cmake --install`: the programs run from there and need nothing of the checkout; the library is found by find_package, its
headers compile alone, and the example of docs/ gives what closed forms give. installed_tree_test.py SOURCE BUILD WORK"""

import cmath
import math
import re
import subprocess
import sys
import unittest

from installed import BUILD, SOURCE, WORK, empty_work, files_below, installed, run

sys.argv[1:] = []
MU0 = 4e-7 * math.pi


class InstalledTree(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        empty_work()
        cls.prefix = installed(WORK / "prefix")

    def test_programs_run_away_from_the_checkout(self):
        version = re.search(r"project\(ampturn VERSION ([\d.]+)", (SOURCE / "CMakeLists.txt").read_text())[1]
        for program in ("ampturn", "ampturn-sim"):
            self.assertRegex(run(self.prefix / "bin" / program, "--version"), rf"^{program} {re.escape(version)} \(")
        demo = self.prefix / "share/ampturn/demo"
        run(self.prefix / "bin/ampturn", "day", demo / "quick.toml", "--out", "day")
        self.assertIn("echarts", (WORK / "day/report.html").read_text().lower())
        run(self.prefix / "bin/ampturn", "check", demo / "ostrel/ostrel.toml")  # with files beside it
        run(self.prefix / "bin/ampturn-sim", "drill", "--check", demo / "drills/first_start.toml")

    def test_nothing_installed_names_the_checkout_or_the_build(self):
        for name in files_below(self.prefix):
            content = (self.prefix / name).read_bytes()
            for folder in (SOURCE, BUILD):
                self.assertNotIn(str(folder).encode() + b"/", content, name)

    def test_every_demo_and_document_is_there(self):
        names = files_below(self.prefix)
        for folder, ending in (("demo", "*.toml"), ("demo/drills", "*.toml"), ("demo/ostrel", "*")):
            wanted = sorted((SOURCE / folder).glob(ending))
            self.assertGreater(len(wanted), 3, folder)
            for path in wanted:
                self.assertIn(f"share/ampturn/{folder}/{path.name}", names)
        for path in (SOURCE / "docs").glob("*.md"):
            if path.name != "changes.md":  # it is changelog.gz
                self.assertTrue(any(name.endswith("/" + path.name) for name in names), path)
        self.assertIn("share/doc/ampturn/changelog.gz", names)

    def test_every_public_header_compiles_alone(self):
        headers = [name for name in files_below(self.prefix / "include/ampturn")]
        self.assertGreater(len(headers), 8)
        lines = "".join(f'#include "{name}"\n' for name in headers)
        includes = re.findall(r'#include "([^"]+)"', "".join((self.prefix / "include/ampturn" / name).read_text() for name in headers))
        self.assertEqual([name for name in includes if name not in headers], [])
        for text in [f'#include "{name}"\n' for name in headers] + [lines]:
            done = subprocess.run(["c++", "-std=c++20", "-Wall", "-Wextra", "-Werror", "-fsyntax-only", "-x", "c++", "-",
                                   f"-I{self.prefix}/include/ampturn"], input=text, text=True, capture_output=True)
            self.assertEqual(done.returncode, 0, text + done.stderr)

    def test_the_example_gives_what_closed_forms_give(self):
        run("cmake", "-S", SOURCE / "docs/library_example", "-B", "example", f"-DCMAKE_PREFIX_PATH={self.prefix}")
        run("cmake", "--build", "example")
        printed = {}
        for line in run(WORK / "example/sounding").splitlines():
            name, *values = line.split()
            printed[name] = values
        number = {name: complex(*(float(value) for value in values)) for name, values in printed.items() if name != "refused"}
        rho, frequency, r, moment = 100.0, 2000.0, 300.0, 5000.0
        # Closed form: sqrt(rho / (pi f mu0)), Jackson (1998), sec. 5.18.
        self.assertAlmostEqual(number["skin_depth_m"].real, math.sqrt(rho / (math.pi * frequency * MU0)), delta=1e-9)
        # Closed form: a plane wave over uniform ground sees its resistivity, at 45 degrees (Cagniard 1953).
        self.assertAlmostEqual(number["apparent_resistivity_ohm_m"].real, rho, delta=1e-8)
        self.assertAlmostEqual(number["phase_deg"].real, 45, delta=1e-9)
        # Closed form: vertical dipole on a uniform half-space, quasi-static, Ward & Hohmann (1988), eqs. 4.56 and 4.50 (from
        # memory); z down, e^{+i omega t}, E along azimuth, which at a receiver in the north is east. 1e-8 is what the engine is
        # asked for by default.
        omega = 2 * math.pi * frequency
        kr = cmath.sqrt(-1j * omega * MU0 / rho) * r
        decay = cmath.exp(-1j * kr)
        hz = moment / (2 * math.pi * kr**2 * r**3) * (9 - (9 + 9j * kr - 4 * kr**2 - 1j * kr**3) * decay)
        e = -moment * rho / (2 * math.pi * r**4) * (3 - (3 + 3j * kr - kr**2) * decay)
        self.assertLess(abs(number["hz_a_per_m"] - hz), 1e-7 * abs(hz), (number["hz_a_per_m"], hz))
        self.assertLess(abs(number["ey_v_per_m"] - e), 1e-7 * abs(e), (number["ey_v_per_m"], e))
        self.assertEqual(printed["refused"], ["layer.resistivity_ohm_m"])

    def test_another_second_number_is_not_the_same_interface(self):
        (WORK / "other").mkdir()
        for version, found in (("0.1", True), ("0.0", False), ("0.2", False)):
            (WORK / "other/CMakeLists.txt").write_text(
                f"cmake_minimum_required(VERSION 3.25)\nproject(other LANGUAGES CXX)\nfind_package(Ampturn {version})\n"
                'message(NOTICE "found: ${Ampturn_FOUND}")\n')
            done = subprocess.run(["cmake", "-S", WORK / "other", "-B", WORK / f"other/{version}",
                                   f"-DCMAKE_PREFIX_PATH={self.prefix}"], capture_output=True, text=True)
            self.assertIn(f"found: {1 if found else 0}", done.stdout + done.stderr, version)


if __name__ == "__main__":
    unittest.main(verbosity=0)
