#!/usr/bin/env python3
"""Breaks the core on purpose, one line at a time, and expects the walk to name the law that was broken.

mutants.py COMPILER SOURCE_DIR OBJECT_DIR WALK_OBJECT WORK_DIR

A mutant that survives, is caught under another law, or whose line is no longer in the source, fails the test.
"""

import concurrent.futures
import os
import pathlib
import re
import subprocess
import sys

STEPS, TRIPS, SEQUENCER, RECORDS, STATES = (
    "sequencer_steps.cpp", "sequencer_trips.cpp", "sequencer.cpp", "records.cpp", "states.hpp")

# name, file, line as it is, line as broken, the law that must be named
MUTANTS = [
    ("tripped leaves the power stage on", SEQUENCER,
     "        case State::tripped:\n            off(at);", "        case State::tripped:",
     "an emergency stop turns the power stage off in the same call"),
    ("the power stage outlives its supply", SEQUENCER,
     "        case State::unpowered:\n            off(at);", "        case State::unpowered:",
     "power stage off in every state but sending and stopping"),
    ("relays change without opening first", STEPS,
     "if (wanted != drive_.selection && drive_.selection.loop != Loop::none) {", "if (false) {",
     "never two selections at once"),
    ("the power stage starts before the relays close", STEPS,
     "        drive_.selection = step().selection();\n", "",
     "power stage on only into a selected loop"),
    ("relays change without a reading of no current", STEPS,
     "if (wanted != drive_.selection && !off_confirmed_) {", "if (false) {",
     "no selection change with current flowing"),
    ("relays close into a current", STEPS,
     "        if (!off_confirmed_) {\n            not_zero_in_time(at);\n            return;\n        }\n        drive_.selection = step()",
     "        drive_.selection = step()",
     "no selection change with current flowing"),
    ("relays open at the end without a reading", STEPS,
     "drive_.on || !off_confirmed_ || drive_", "drive_.on || drive_",
     "no selection change with current flowing"),
    ("a stop takes more cycles than the ramp", STEPS,
     "step().ramp_cycles - (between_cycles ? 0 : 1)", "step().ramp_cycles + 1",
     "a stop is over within the ramp's cycles"),
    ("an emergency stop is noted, nothing more", TRIPS,
     "judge_one(at, Trip::emergency_stop, emergency_stop_, !emergency_stop_, Ticks{});", "",
     "an emergency stop holds until it is reset"),
    ("an emergency stop waits for the next reading while current flows", SEQUENCER,
     "            judge_emergency_stop(at);\n            return Reply::accepted;",
     "            if (!drive_.on) judge_emergency_stop(at);\n            return Reply::accepted;",
     "an emergency stop turns the power stage off in the same call"),
    ("acknowledge does not look at active causes", SEQUENCER,
     "if (!active_.empty() || !off_confirmed_) return Reply::cause_active;",
     "if (!off_confirmed_) return Reply::cause_active;",
     "an active cause trips from every state"),
    ("acknowledge never helps", SEQUENCER,
     "if (!active_.empty() || !off_confirmed_) return Reply::cause_active;", "return Reply::cause_active;",
     "there is a way to standby once causes are gone"),
    ("a cause never goes", TRIPS,
     "        active_.remove(trip);\n", "        if (trip != Trip::under_voltage) active_.remove(trip);\n",
     "there is a way to standby once causes are gone"),
    ("a trip is not recorded in every state", TRIPS,
     "    record(at, RecordKind::trip, static", "    if (state_ != State::warning) record(at, RecordKind::trip, static",
     "every trip is recorded"),
    ("a trip is not recorded", TRIPS,
     "    record(at, RecordKind::trip, static_cast<std::uint8_t>(trip), measured(trip));\n", "",
     "the record ring never loses a trip"),
    ("the ring drops the oldest, trip or not", RECORDS,
     "if (record.kind != RecordKind::trip) {", "if (true) {",
     "the record ring never loses a trip"),
    ("a rested unit arms itself", STATES,
     "Edge{State::resting, Event::cooled, State::standby},", "Edge{State::resting, Event::cooled, State::armed},",
     "every start needs a fresh arm"),
    ("go works without the key", STATES,
     "Edge{State::armed, Event::go, State::warning},", "Edge{State::standby, Event::go, State::warning},",
     "every start needs a fresh arm"),
    ("the supply may go unnoticed", SEQUENCER,
     "        fire(Event::supply_lost, at);", "        if (state_ != State::armed) fire(Event::supply_lost, at);",
     "supply lost leads to unpowered from every state"),
    ("lateness is forgiven", SEQUENCER,
     "    return now - deadline_ > (half_period", "    return now - deadline_ > Ticks{1} + (half_period",
     "a host that comes too late finds the power stage off"),
    ("a rested unit goes on sending", STATES,
     "Edge{State::resting, Event::cooled, State::standby},", "Edge{State::resting, Event::cooled, State::sending},",
     "only the warning leads to sending"),
    ("a deadline stays in the past", SEQUENCER,
     "        phase_end_ = state_since_ + times_.self_check_limit;", "        phase_end_ = at;",
     "the deadline lies ahead"),
    ("nothing is due while energised", SEQUENCER,
     "    deadline_ = phase_end_;\n    if (silent_at() < deadline_) deadline_ = silent_at();",
     "    deadline_ = may_energise(state_) ? Instant::never() : phase_end_;",
     "something is always due while energised"),
    ("the watchdog sleeps", SEQUENCER,
     "if (!may_energise(state_)) return Instant::never();", "return Instant::never();",
     "never energised without readings for longer than the watchdog"),
]


def build_and_walk(mutant, compiler, source, objects, walk, work):
    number, (name, file, line, broken, law) = mutant
    folder = work / str(number)
    core = folder / "scheduler" / "core"
    core.mkdir(parents=True, exist_ok=True)
    text = (source / "scheduler/core" / file).read_text()
    if text.count(line) != 1:
        return f"{name}: its line occurs {text.count(line)} times in {file}"
    text = text.replace(line, broken)
    if file == STATES:  # the compiler would catch it: take its own proofs away
        text = "\n".join(l for l in text.split("\n") if not l.startswith("static_assert"))
    (core / file).write_text(text)
    unit = core / file if file.endswith(".cpp") else source / "scheduler/core" / SEQUENCER
    made = folder / "mutant.o"
    subprocess.run([compiler, "-std=c++20", "-O1", "-w", f"-I{folder}", f"-I{source}", "-c", str(unit), "-o", str(made)], check=True)
    others = [str(path) for path in sorted(objects.glob("*.o")) if path.stem != unit.stem and path.stem in CORE]
    program = folder / "walk"
    subprocess.run([compiler, str(walk), str(made), *others, "-o", str(program)], check=True)
    result = subprocess.run([str(program)], capture_output=True, text=True, timeout=120)
    said = result.stdout.strip().split("\n")[-1]
    if result.returncode != 1 or not said.startswith("broken: "):
        return f"{name}: survives"
    if not said.startswith(f"broken: {law} ("):
        return f"{name}: expected '{law}', got '{said}'"
    print(f"{name}: {said}")
    return None


source = pathlib.Path(sys.argv[2])
CORE = {path.stem for path in (source / "scheduler/core").glob("*.cpp")}
objects, walk, work = map(pathlib.Path, sys.argv[3:6])
with concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
    jobs = [pool.submit(build_and_walk, mutant, sys.argv[1], source, objects, walk, work) for mutant in enumerate(MUTANTS)]
    problems = [job.result() for job in jobs]
problems = [problem for problem in problems if problem]
laws = set(re.findall(r'return "([^"]+)";|: "([^"]+)";', (source / "tests/scheduler/core/walk_main.cpp").read_text()))
for law in sorted({a or b for a, b in laws} - {mutant[4] for mutant in MUTANTS}):
    problems.append(f"no mutant breaks the law '{law}'")
print(f"{len(MUTANTS) - len(problems)} of {len(MUTANTS)} mutants caught")
print("\n".join(problems))
sys.exit(1 if problems else 0)
