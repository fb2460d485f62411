#!/usr/bin/env python3
"""One plan, one table: every command, sheet and file that shows a step or the table's checksum shows what the stored
image holds. one_table_test.py AMPTURN SOURCE_DIR WORK_DIR"""

import csv
import json
import pathlib
import re
import struct
import subprocess
import sys
import tomllib
import unittest
import zlib

AMPTURN, SOURCE, WORK = sys.argv[1], pathlib.Path(sys.argv[2]), pathlib.Path(sys.argv[3])


def run(*words):
    done = subprocess.run([AMPTURN, *map(str, words)], cwd=SOURCE, capture_output=True)
    assert done.returncode == 0, (words, done.stderr.decode())
    return done.stdout


def rows_of(path):
    with open(path, newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


class Step:
    """A step of the image, read by the layout of docs/core.md; `capacitance_f` by the plan's own bank."""

    def __init__(self, raw, clock_hz, bank_f):
        loop, tap, capacitor, _, divisor, cycles, milliamperes = struct.unpack_from("<BBBBIII", raw)
        self.loop = " AB2"[loop]
        self.tap, self.capacitor, self.divisor, self.cycles = tap, capacitor, divisor, cycles
        self.frequency_hz = clock_hz / divisor
        self.dwell_s = cycles * divisor / clock_hz
        self.current_a_peak = milliamperes / 1000
        self.capacitance_f = bank_f[capacitor - 1] if capacitor else 0


class OneTable:
    """Run for each demo."""

    @classmethod
    def setUpClass(cls):
        cls.plan = f"demo/{cls.name}.toml"
        cls.folder = WORK / cls.name
        cls.folder.mkdir(parents=True, exist_ok=True)
        plan = tomllib.loads((SOURCE / cls.plan).read_text())
        bank_f = plan.get("driver", {}).get("capacitors", {}).get("capacitance_f", [])
        image = run("table", cls.plan, "--to", "image")
        count, = struct.unpack_from("<H", image, 6)
        clock_hz, = struct.unpack_from("<I", image, 12)
        assert count == cls.steps and len(image) == 28 + 28 * count
        cls.table_id = f"{struct.unpack_from('<I', image, 16)[0]:08X}"
        cls.stored = [Step(image[24 + 28 * i:52 + 28 * i], clock_hz, bank_f) for i in range(count)]
        cls.crc32 = f"{zlib.crc32(image[:-4]):08X}"
        assert cls.crc32 == f"{struct.unpack('<I', image[-4:])[0]:08X}"
        run("day", cls.plan, "--out", cls.folder / "day")
        cls.day = json.loads((cls.folder / "day/day.json").read_text())
        cls.turns_of_tap = {}
        for step, row in zip(cls.stored, cls.day["table"], strict=True):
            cls.turns_of_tap.setdefault((step.loop, step.tap), row["turns"])

    def same_step(self, step, row, where):
        """`row`: what some output says of the step, by the names of day.json; keys it lacks are not compared."""
        near = lambda a, b: abs(float(a) - b) <= 1e-8 * abs(b)  # CSV keeps nine digits
        self.assertTrue(near(row["frequency_hz"], step.frequency_hz), where)
        self.assertEqual(row["loop"], step.loop, where)
        if "turns" in row:
            self.assertEqual(int(row["turns"]), self.turns_of_tap[step.loop, step.tap], where)
        if "capacitance_f" in row:
            self.assertTrue(near(row["capacitance_f"] or 0, step.capacitance_f), where)
        if "dwell_s" in row:
            self.assertTrue(near(row["dwell_s"], step.dwell_s), where)
        if "target_current_a_peak" in row:
            self.assertTrue(near(row["target_current_a_peak"], step.current_a_peak), where)

    def same_steps(self, rows, where):
        self.assertEqual(len(rows), self.steps, where)
        for i, (step, row) in enumerate(zip(self.stored, rows)):
            self.same_step(step, row, f"{where}, step {i + 1}")

    def test_the_table_for_people_is_the_image(self):
        text = run("table", self.plan).decode()
        self.assertIn(f"CRC-32 {self.crc32}\n", text)
        self.assertIn(f"table {self.table_id}: steps {self.steps},", text)
        self.assertIn(f"/* Sweep table {self.table_id}: ", run("table", self.plan, "--to", "header").decode())
        cells = [line.split() for line in text.splitlines() if re.match(r" *\d+ ", line)]
        self.assertEqual(len(cells), self.steps)
        for step, cell in zip(self.stored, cells):
            loop, tap, capacitor, divisor, frequency, cycles, dwell = cell[1:8]
            self.assertEqual((loop.upper()[0], int(tap), capacitor.replace("-", "0"), int(divisor), int(cycles)),
                             (step.loop, step.tap, str(step.capacitor), step.divisor, step.cycles))
            self.assertEqual((frequency, dwell), (f"{step.frequency_hz:.6f}", f"{step.dwell_s:.6f}"))

    def test_the_day_sends_it(self):
        self.assertEqual(self.day["table_crc32"], self.crc32)
        self.same_steps(self.day["table"], "day.json")
        self.same_steps(rows_of(self.folder / "day/table.csv"), "table.csv")
        sent = rows_of(self.folder / "day/steps.csv")
        self.assertGreaterEqual(len(sent), self.steps)
        for row in sent:
            self.same_step(self.stored[int(row["step_number"]) - 1], {k: row[k] for k in ("frequency_hz", "loop")},
                           "steps.csv")
        self.assertIn(f"table CRC-32 {self.crc32}", re.sub(r"\s+", " ", run("day", self.plan).decode()))
        self.assertIn(f"sweep table CRC-32 {self.crc32}", (self.folder / "day/report.html").read_text())

    def test_a_draw_changes_the_day_and_not_the_table(self):
        run("day", self.plan, "--runs", 3, "--out", self.folder / "runs")
        drawn = json.loads((self.folder / "runs/day.json").read_text())
        self.assertEqual((drawn["table_crc32"], drawn["table"]), (self.day["table_crc32"], self.day["table"]))

    def test_the_transmitter_is_computed_for_it(self):
        run("transmitter", self.plan, "--out", self.folder / "transmitter")
        transmitter = json.loads((self.folder / "transmitter/transmitter.json").read_text())
        self.assertEqual(transmitter["table_crc32"], self.crc32)
        self.same_steps([{"frequency_hz": row["frequency_hz"], "loop": row["loop"],
                          "target_current_a_peak": row["target_a_peak"], "turns": row["table"]["turns"],
                          "capacitance_f": row["table"]["capacitance_f"]} for row in transmitter["steps"]], "transmitter.json")
        self.same_steps([{"frequency_hz": row["frequency_hz"], "loop": row["loop"], "turns": row["turns"],
                          "capacitance_f": row["capacitance_f"]}
                         for row in rows_of(self.folder / "transmitter/transmitter.csv") if row["which"] == "table"], "transmitter.csv")
        self.assertIn(f"Table CRC-32 {self.crc32}, ", run("transmitter", self.plan).decode())
        self.assertIn(f"Table CRC-32 {self.crc32}, ", (self.folder / "transmitter/transmitter.html").read_text())

    def test_every_sites_sheet_carries_its_checksum(self):
        run("sheet", self.plan, "--out", self.folder / "sheet.html")
        found = re.findall(r"<th>checksum</th><td>([^<]*)</td>", (self.folder / "sheet.html").read_text())
        self.assertEqual(found, [self.crc32] * len(self.day["sites"]))

    def test_every_output_says_what_it_was_made_for(self):
        made_for = self.day["table_made_for"]
        self.assertEqual(made_for["state_of_charge_fraction"], 0.5)
        transmitter = json.loads(run("transmitter", self.plan, "--json"))
        self.assertEqual(transmitter["table_made_for"]["state_of_charge_fraction"], 0.5)
        self.assertEqual(transmitter["table_made_for"]["temperature_c"], transmitter["air_c"], "the air at the start of the day")
        self.assertAlmostEqual(transmitter["air_c"], made_for["temperature_c"], delta=1e-6)  # nine digits in day.json
        words = f"made for {made_for['temperature_c']:.3g} C and a battery at 50 % of its charge"
        run("sheet", self.plan, "--out", self.folder / "sheet.html")
        for text in (run("table", self.plan), run("transmitter", self.plan), run("day", self.plan),
                     (self.folder / "day/report.html").read_bytes(), (self.folder / "sheet.html").read_bytes()):
            self.assertIn(words, re.sub(r"\s+", " ", text.decode()))

    def test_planners_work_at_its_frequencies(self):
        stored = sorted({step.frequency_hz for step in self.stored})

        def same(found, where):
            self.assertEqual(len(found), len(stored), where)
            for a, b in zip(sorted(map(float, found)), stored):
                self.assertAlmostEqual(a / b, 1, delta=1e-8, msg=where)

        same(self.day["frequencies_hz"], "day.json")
        curve = json.loads(run("curve", self.plan, "--json"))
        for station in curve["stations"]:
            same([point["frequency_hz"] for point in station["points"]], "curve")
        run("reach", self.plan, "--out", self.folder / "reach")
        reach = json.loads((self.folder / "reach/reach.json").read_text())
        same([f["frequency_hz"] for f in reach["frequencies"]], "reach.json")
        run("tune", self.plan, "--quick", "--out", self.folder / "tune")
        same([row["frequency_hz"] for row in rows_of(self.folder / "tune/tune.csv")], "tune.csv")


class Quick(OneTable, unittest.TestCase):
    name, steps = "quick", 8


class Vesslarook(OneTable, unittest.TestCase):
    name, steps = "vesslarook", 36


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1])
