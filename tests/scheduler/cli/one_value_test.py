#!/usr/bin/env python3
"""One number, one value: every command runs on both demos, and whatever quantity stands in more than one of their outputs
(JSON, CSV, the data of pages, text, sheet, EDI) is the same everywhere, to the digits an output prints. Figures that keep
people safe are rounded to the safe side everywhere alike. one_value_test.py AMPTURN SOURCE_DIR WORK_DIR"""

import collections
import csv
import html
import json
import math
import pathlib
import re
import subprocess
import sys
import unittest

AMPTURN, SOURCE, WORK = sys.argv[1], pathlib.Path(sys.argv[2]), pathlib.Path(sys.argv[3])
# Words behind the plan; what they write goes to files of that name.
COMMANDS = {
    "check": ["check"],
    "frequencies": ["frequencies"],
    "frequencies.json": ["frequencies", "--json"],
    "transmitter": ["transmitter", "--out", "OUT"],
    "transmitter.txt": ["transmitter"],
    "reach": ["reach", "--out", "OUT"],
    "reach.txt": ["reach"],
    "tune": ["tune", "--out", "OUT"],
    "tune.txt": ["tune"],
    "day": ["day", "--out", "OUT"],
    "day.txt": ["day"],
    "sheet": ["sheet", "--out", "OUT/sheet.html"],
    "curve.csv": ["curve", "--csv"],
    "curve.json": ["curve", "--json", "--edi", "OUT"],
    "curve": ["curve"],
    "table.txt": ["table"],
}
# What says which thing a number belongs to; read beside it, or in what it stands in.
IDENTITY = {"station", "site", "frequency_hz", "loop", "step", "battery_number", "sweep_number", "time_s", "kind", "which",
            "sector_from_deg", "sector_to_deg", "turns", "start_clock", "activity"}
SAME_NAME = {"step_number": "step", "from_deg": "sector_from_deg", "to_deg": "sector_to_deg"}
# Lists that hold one thing each; the words of other places tell numbers of one name apart.
LISTS = {"stations", "sites", "points", "frequencies", "table", "judged", "sweeps", "steps", "batteries", "timeline", "sectors",
         "battery_trace", "curves"}
OF_THE_FILE = {"schema", "schema_version"}


def run(words, out):
    done = subprocess.run([AMPTURN, *(word.replace("OUT", str(out)) for word in words)], cwd=SOURCE, capture_output=True, text=True)
    assert done.returncode == 0, (words, done.stderr)
    return done.stdout


def flat(text):
    """Text without line breaks, tags and entities."""
    text = re.sub(r"<(style|script)\b.*?</\1>", " ", text, flags=re.S)
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]*>", " ", text)))


def same(a, b):
    """Equal as JSON writes them, with nine digits."""
    if isinstance(a, (int, float)) and isinstance(b, (int, float)):
        return a == b or abs(a - b) <= 1e-8 * max(abs(a), abs(b))
    return a == b


def cell(text):
    if text == "":
        return None
    try:
        return float(text)
    except ValueError:
        return {"yes": True, "no": False}.get(text, text)


class Numbers:
    """Every value of JSON and CSV by its name and the thing it belongs to."""

    def __init__(self):
        self.values = collections.defaultdict(dict)  # (name, thing) -> {place: value}

    def note(self, name, thing, place, value):
        key = (name, tuple(sorted(thing.items(), key=str)))
        self.values[key].setdefault(place, value)

    def read_csv(self, place, text):
        for row in csv.DictReader(text.splitlines()):
            row = {SAME_NAME.get(name, name): cell(value) for name, value in row.items()}
            thing = {name: value for name, value in row.items() if name in IDENTITY}
            for name in row.keys() - thing.keys():
                self.note(name, thing, place, row[name])

    def read_json(self, place, node, thing=None, names=None, top=None):
        top = node if top is None else top
        thing = dict(thing or {})
        if isinstance(node, dict) and isinstance(node.get("station_index"), list):  # column by column, as pages have it
            for row in zip(*node.values(), strict=True):
                self.read_json(place, dict(zip(node, row)), thing, names, top)
        elif isinstance(node, dict):
            node = {SAME_NAME.get(name, name): value for name, value in node.items()}
            for kind in ("station", "site"):
                if node.get(f"{kind}_index") is not None:
                    node[kind] = top[f"{kind}s"][node[f"{kind}_index"]]["name"]
            if names and "name" in node:
                node[names] = node.pop("name")
            own = {name: value for name, value in node.items() if name in IDENTITY and not isinstance(value, (dict, list))}
            thing.update(own)
            for name, value in node.items():
                if isinstance(value, list) and name in LISTS:
                    for entry in value:
                        self.read_json(place, entry, thing, name.removesuffix("s"), top)
                elif isinstance(value, dict):
                    inside = {"which": name} if name in ("table", "best") else {f"in {name}": True}
                    self.read_json(place, value, {**thing, **inside}, None, top)
                elif not isinstance(value, list) and name not in own and not name.endswith("_index"):
                    self.note(name, thing, place, value)


class OneValue:
    """Run for each demo."""

    @classmethod
    def setUpClass(cls):
        cls.files = {}
        for name, words in COMMANDS.items():
            out = WORK / cls.name / name
            out.mkdir(parents=True, exist_ok=True)
            for old in out.iterdir():
                old.unlink()
            cls.files[name] = run([words[0], f"demo/{cls.name}.toml", *words[1:]], out)
            for path in sorted(out.iterdir()):
                cls.files[f"{words[0]}/{path.name}"] = path.read_text(encoding="utf-8")
        cls.json = {name: json.loads(text) for name, text in cls.files.items() if name.endswith(".json")}

    def test_a_name_has_one_value(self):
        numbers = Numbers()
        for name, text in self.files.items():
            if name.endswith(".json"):
                numbers.read_json(name, json.loads(text))
            elif name.endswith(".csv"):
                numbers.read_csv(name, text)
            else:
                for island in re.findall(r'<script type="application/json" id="data">(.*?)</script>', text, re.S):
                    numbers.read_json(name, json.loads(island))
        shared = {key: places for key, places in numbers.values.items() if len(places) > 1}
        wrong = [f"{name} of {dict(thing)}: {places}" for (name, thing), places in shared.items()
                 if name not in OF_THE_FILE and not all(same(next(iter(places.values())), v) for v in places.values())]
        self.assertEqual(wrong[:5], [], f"{len(wrong)} of {len(shared)} differ")
        self.assertGreater(len(shared), 1400)
        self.assertGreater(len({name for name, _ in shared}), 140)

    def test_no_number_below_a_million_has_an_exponent(self):
        found = {}
        for name, text in self.files.items():
            if name.endswith((".json", ".csv")):
                continue
            read = flat(text)
            if numbers := re.findall(r"(?<![\w.])\d[\d.]*e\+0[0-5]\b", read):
                found[name] = numbers[:3]
        self.assertEqual(found, {})

    def words(self, name):
        return flat(self.files[name])

    def everywhere(self, pattern, least):
        """What the pattern finds, by the output it stands in; in at least so many outputs."""
        found = {}
        for name, text in self.files.items():
            if matches := re.findall(pattern, flat(text) if not name.endswith((".json", ".csv")) else text):
                found[name] = set(matches)
        self.assertGreaterEqual(len(found), least, f"{pattern}: {sorted(found)}")
        return found

    def one(self, pattern, least):
        """The one thing the pattern finds in all outputs that have it."""
        found = self.everywhere(pattern, least)
        values = set().union(*found.values())
        self.assertEqual(len(values), 1, f"{pattern}: {found}")
        return values.pop()

    def printed(self, text, value, where=""):
        """A number as printed is the value rounded to its digits."""
        unit = 10.0 ** -len(text.partition(".")[2])
        self.assertLessEqual(abs(float(text) - value), 0.5 * unit * (1 + 1e-6), f"{where}: {text} printed, {value} computed")

    def rounded_up(self, text, value, where=""):
        unit = 10.0 ** -len(text.partition(".")[2])
        self.assertGreaterEqual(float(text), value * (1 - 1e-9), f"{where}: rounded to the unsafe side")
        self.assertLess(float(text) - value, unit, where)

    def test_length_of_a_sweep(self):
        seconds = self.json["day/day.json"]["table_duration_s"]
        self.assertTrue(same(seconds, self.json["tune/tune.json"]["sweep_before"]["duration_s"]),
                        (seconds, self.json["tune/tune.json"]["sweep_before"]))
        self.printed(re.search(r"sweeps 1 of (\S+) s each", self.files["table.txt"])[1], seconds, "table")
        written = self.one(r"[Oo]ne sweep:? ((?:\d+ min )?\S+ s)\b", 5)
        minutes, rest = re.fullmatch(r"(?:(\d+) min )?(\S+) s", written).groups()
        self.printed(rest, seconds - 60 * int(minutes or 0), "day")

    def test_dwells_and_moments_of_the_table(self):
        day, reach, tune = (self.json[f"{c}/{c}.json"] for c in ("day", "reach", "tune"))
        dwell, turns = collections.defaultdict(float), {}
        for row in day["table"]:
            dwell[row["loop"], row["frequency_hz"]] += row["dwell_s"]
            turns[row["loop"], row["frequency_hz"]] = row["turns"]
        # The transmitter's sheet is that of a full battery, the rest that of the table's condition: where the target decides,
        # both are the same.
        self.assertEqual(reach["table_made_for"], day["table_made_for"])
        moment = {(step["loop"], step["frequency_hz"]): step["table"]["moment_a_m2_peak"]
                  for step in self.json["transmitter/transmitter.json"]["steps"] if step["table"]["limited_by"] == "target"}
        self.assertGreaterEqual(len(moment), 4)
        self.assertEqual(len(reach["frequencies"]), len(tune["frequencies"]))
        for at, tuned in zip(reach["frequencies"], tune["frequencies"], strict=True):
            f = at["frequency_hz"]
            self.assertEqual(f, tuned["frequency_hz"])
            for loop in "AB":
                low = loop.lower()
                self.assertTrue(same(at[f"dwell_{low}_s"], dwell[loop, f]), f"reach {f} {loop}")
                self.assertTrue(same(tuned[f"dwell_{low}_before_s"], dwell[loop, f]),
                                f"tune {f} {loop}: {tuned[f'dwell_{low}_before_s']} {dwell[loop, f]}")
                if (loop, f) in moment:
                    self.assertTrue(same(at[f"moment_{low}_a_m2_peak"], moment[loop, f]), f"reach {f} {loop}")

    def test_people_keep_away_alike_everywhere(self):
        sites = self.json["day/day.json"]["sites"]
        public = f"{max(site['keep_out_public_m'] for site in sites):.1f}"
        work = f"{max(site['keep_out_occupational_m'] for site in sites):.1f}"
        self.assertEqual(self.one(r"keep the public (\S+) m and", 4), public)
        self.assertEqual(self.one(r"people at work \(occupational levels\) (\S+) m from", 4), work)
        self.assertEqual(set(re.findall(r"Keep everybody (\S+) m from", self.words("sheet/sheet.html"))),
                         {f"{site['keep_out_public_m']:.1f}" for site in sites})
        for site in sites:
            self.assertIn(f"site {site['name']}: keep people {site['keep_out_public_m']:.1f} m away while sending "
                          f"({site['keep_out_occupational_m']:.1f} m for occupational", self.words("day.txt"))
        self.assertEqual(self.json["transmitter/transmitter.json"]["keep_out_public_m"], sites[0]["keep_out_public_m"])

    def test_cautions_are_the_same_sentences(self):
        day, transmitter = (self.json[f"{c}/{c}.json"]["cautions"] for c in ("day", "transmitter"))
        self.assertGreaterEqual(len(transmitter), 6)
        for caution in transmitter:
            self.assertIn(caution, day)
            for name in ("day.txt", "transmitter.txt", "day/report.html", "transmitter/transmitter.html", "sheet/sheet.html"):
                self.assertIn(caution, self.words(name), name)

    def test_capacitors_by_the_slowest(self):
        steps = self.json["transmitter/transmitter.json"]["steps"]
        slowest = [step["table"]["capacitor_to_50_v_s"] for step in steps if step["table"]["capacitor_to_50_v_s"] is not None]
        highest = [step["table"]["capacitor_v_peak"] for step in steps if step["table"]["capacitor_v_peak"] is not None]
        if not slowest:
            self.assertNotIn("Series capacitor", self.words("day.txt"))
            return
        self.rounded_up(self.one(r"it falls to 50 V in (\S+) s", 4), max(slowest), "discharge")
        self.assertGreaterEqual(float(self.one(r"Series capacitor: up to (\S+) V peak", 4)), max(highest))

    def test_the_day_in_all_its_words(self):
        day, before = self.json["day/day.json"], self.json["tune/tune.json"]["day_before"]
        for name in ("completed", "passed_count", "required_count", "end_s", "energy_wh", "batteries_needed"):
            self.assertTrue(same(day[name], before[name]), f"{name}: {day[name]} {before[name]}")
        volts = [battery["lowest_v"] for battery in day["batteries"] if battery["lowest_v"] is not None]
        self.assertTrue(same(min(volts), before["lowest_v"]))
        passed = f"{day['passed_count']} of {day['required_count']}"
        for name in ("day.txt", "day/report.html"):
            self.assertIn(f"{passed} required readings are usable", self.words(name))
        self.assertRegex(self.words("tune.txt"), f"required readings that pass {passed} ")
        self.assertEqual(sum(station["passed_count"] for station in day["stations"]), day["passed_count"])
        usable = sum(reading["verdict"] == "usable" and reading["required"] for reading in day["judged"])
        self.assertEqual(usable, day["passed_count"])
        clock = f"{int(day['end_s']) // 3600:02}:{int(day['end_s']) // 60 % 60:02}"
        self.assertRegex(self.words("tune.txt"), f"day: over at {clock} ")
        self.assertEqual(self.one(r"Carried: (\d+)\.", 1), str(day["batteries_carried"]))
        for row in csv.DictReader(self.files["day/batteries.csv"].splitlines()):
            cells = re.search(rf" {row['battery_number']} \d\d:\d\d:\d\d \S+ (\S+) (\S+) (\S+) ", self.words("day.txt"))
            self.printed(cells[3], float(row["lowest_v"]), "lowest volts")
        self.printed(self.one(r"Cut-off at (\S+) V at the terminals", 2), day["battery_cut_off_v"], "cut-off")

    def test_frequencies_against_the_table(self):
        judged = {f["frequency_hz"]: f for f in self.json["frequencies.json"]["frequencies"]}
        rows = self.json["day/day.json"]["table"]
        self.assertEqual(set(judged), {row["frequency_hz"] for row in rows})
        for row in rows:
            for name in ("requested_hz", "error_ppm", "divisor"):
                self.assertTrue(same(row[name], judged[row["frequency_hz"]][name]), name)
        remarks = re.findall(r"sent as (\S+) Hz, lies \S+ Hz from \S+ Hz, harmonic (\d+) of the mains, inside its guard of "
                             r"(\S+) Hz", self.files["check"])
        self.assertEqual(len(remarks), len({row["frequency_hz"] for row in rows if row["mains_clash_order"]}))
        for sent, order, guard in remarks:
            near = min(judged, key=lambda f, sent=sent: abs(f - float(sent)))
            self.printed(sent, near, "check")
            self.assertEqual(int(order), judged[near]["mains_order"])
            self.printed(guard, judged[near]["mains_guard_hz"], "guard in check")
        for tuned in self.json["tune/tune.json"]["frequencies"]:
            offered, nearest = tuned["clear_alternative_hz"], judged[tuned["frequency_hz"]]["alternative_hz"]
            if offered is not None:
                self.assertTrue(same(offered, nearest), f"nearest clean: {offered} in tune, {nearest} in frequencies")

    def test_places_and_ground(self):
        day, reach, curve = self.json["day/day.json"], self.json["reach/reach.json"], self.json["curve.json"]
        stations = {station["name"]: station for station in day["stations"]}
        for other in reach["stations"]:
            for name in ("offset_m", "bearing_deg"):
                self.assertTrue(same(other[name], stations[other["name"]][name]), name)
        skin = {f["frequency_hz"]: f for f in reach["frequencies"]}
        readings = {(reading["station_index"], reading["frequency_hz"]): reading for reading in day["judged"]}
        compared = 0
        for index, station in enumerate(curve["stations"]):
            here = stations[station["station"]]
            self.assertTrue(same(station["offset_m"], here["offset_m"]) and same(station["bearing_deg"], here["bearing_deg"]))
            for point in station["points"]:
                reading, at = readings[index, point["frequency_hz"]], skin[point["frequency_hz"]]
                self.assertTrue(same(point["offset_over_skin_depth"], reading["offset_over_skin_depth"]))
                self.assertAlmostEqual(station["offset_m"] / at["skin_depth_m"] / point["offset_over_skin_depth"], 1, delta=1e-8)
                self.assertTrue(same(at["plane_resistivity_ohm_m"], point["plane_rho_ohm_m"]))
                if reading["verdict"] == "not sent":
                    continue
                for ours, theirs in (("rho_xy_ohm_m", "resistivity_xy_ohm_m"), ("rho_yx_ohm_m", "resistivity_yx_ohm_m"),
                                     ("phase_xy_deg", "phase_xy_deg"), ("phase_yx_deg", "phase_yx_deg"),
                                     ("plane_rho_ohm_m", "plane_resistivity_ohm_m"), ("plane_phase_deg", "plane_phase_deg")):
                    # The day takes its loops' fields to 1e-6, the curve to 1e-8.
                    self.assertAlmostEqual(point[ours], reading[theirs], delta=3e-6 * abs(point[ours]) + 1e-4, msg=ours)
                    compared += 1
                if point["zone"] != "far field":
                    self.assertEqual(reading["verdict"], point["zone"], (station["station"], point["frequency_hz"]))
        self.assertGreater(compared, 40)

    def test_the_exchange_file_holds_the_curve(self):
        files = {name: text for name, text in self.files.items() if name.endswith(".edi")}
        self.assertEqual(len(files), len(self.json["curve.json"]["stations"]))
        for station in self.json["curve.json"]["stations"]:
            text = files[f"curve/{station['station']}.edi"]

            def block(name, text=text):
                return [float(x) for x in re.search(rf">{name}[^\n]*//\s*\d+\n([^>]*)", text)[1].split()]

            for f, real, point in zip(block("FREQ"), block("ZXYR"), station["points"], strict=True):
                self.assertTrue(same(f, point["frequency_hz"]))
                # Field units of the exchange format: mV/km over nT, mu0 in between.
                self.assertAlmostEqual(real * 4e-4 * math.pi / point["z_xy_ohm"][0], 1, delta=1e-8)
            self.assertIn(f"{station['offset_m']:.1f} m from this station", text)
            ends = re.search(r"CHTYPE=EX X=(\S+) Y=\S+ X2=(\S+) ", text)
            self.assertAlmostEqual(float(ends[2]) - float(ends[1]), self.dipole_m, delta=0.051, msg="dipole of the plan")

    def test_rules_and_limits_are_the_plans(self):
        depths = self.json["reach/reach.json"]["rule_of_thumb_skin_depths"]
        self.assertIn(f" {depths:.3g} skin depths ", self.words("reach.txt"))
        for at in self.json["reach/reach.json"]["frequencies"]:
            self.assertAlmostEqual(at["rule_of_thumb_m"] / at["skin_depth_m"] / depths, 1, delta=1e-8)
        day = self.json["day/day.json"]
        self.assertEqual(self.one(r"(?:tolerance|bias within) (\S+ % and \S+ deg)\b", 2),
                         f"{day['tolerance_bias_percent']:.3g} % and {day['tolerance_bias_deg']:.3g} deg")
        trip = self.json["transmitter/transmitter.json"]["over_current_trip_a_peak"]
        self.printed(re.search(r"Over-current trip: (\S+) A peak", self.words("transmitter.txt"))[1], trip, "trip")


class Quick(OneValue, unittest.TestCase):
    name, dipole_m = "quick", 20


class Vesslarook(OneValue, unittest.TestCase):
    name, dipole_m = "vesslarook", 20


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1])
