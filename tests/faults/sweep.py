#!/usr/bin/env python3
"""Runs the programs with one thing going wrong: the n-th allocation, or the n-th call of the kernel of a kind.

tests/faults/sweep.py BIN_FOLDER [--all] [check|day|rehearse|drill|session ...]
Without --all the n are a sample, the same each time. With it they are every call of the kernel, and every place in the program that
takes memory, the first time it does. What has to hold: no crash and no hang; 0 when nothing is lost, else the exit code
for the failure and one line that says what failed; files whole or not there, none under a temporary name; and the same bytes as ever when
it is run again. Prints a line a command and fault: how many of the calls were let go wrong, of how many.
"""
import contextlib
import os
import pathlib
import shutil
import signal
import socket
import subprocess
import sys
import tempfile

ROOT = pathlib.Path(__file__).resolve().parents[2]
# What goes wrong, and whether the program can go on as if nothing had been.
FAULTS = {
    "read:EINTR": True, "read:short": True, "write:short": True,
    "read:EIO": False, "open:EACCES": False, "open:EMFILE": False, "write:EIO": False, "write:ENOSPC": False,
    "sync:EIO": False, "rename:EIO": False, "close:EIO": False, "mkdir:EACCES": False, "new": False,
}
BAD_INPUT, NO_MEMORY = 2, 3
SECONDS_MAX = 120
SAMPLE = 6


class Failure(Exception):
    pass


def must(holds, what):
    if not holds:
        raise Failure(what)


def numbers_to_try(count, everything):
    """All from 1, or the first ones, the last ones and some between."""
    if everything or count <= SAMPLE:
        return list(range(1, count + 1))
    return sorted({1, 2, 1 + count // 3, 1 + 2 * count // 3, count - 1, count})


class Faulty:
    """Words and environment of a command that goes wrong at the n-th call; afterwards, how many calls there were."""

    places = False  # of allocations only the first from each place counts

    def __init__(self, bin_folder, folder, fault, n, words):
        self.report = folder.parent / "report"
        self.report.unlink(missing_ok=True)
        self.environment = dict(os.environ)
        if fault == "new":
            self.environment |= {"LD_PRELOAD": str(bin_folder / "failing_new.so"), "AMPTURN_FAILING_NEW": str(n),
                                 "AMPTURN_FAILING_NEW_REPORT": str(self.report)}
            if self.places:
                self.environment["AMPTURN_FAILING_NEW_PLACES"] = "1"
            self.words = words
        else:
            self.words = [str(bin_folder / "fault_run"), fault, str(n), str(folder), str(self.report), *words]

    def count(self):
        return int(self.report.read_text()) if self.report.exists() else 0


def files_below(folder):
    return {str(path.relative_to(folder)): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}


class Command:
    """A command that reads a plan or a drill and writes files below `folder`."""

    def __init__(self, bin_folder, scratch, words, program="ampturn"):
        self.bin, self.folder, self.program = bin_folder, scratch / "files", program
        self.words = [str(bin_folder / program), *words]
        self.plain = self.run_plain()
        self.files = files_below(self.folder)

    def prepare(self):
        shutil.rmtree(self.folder, ignore_errors=True)
        self.folder.mkdir()
        shutil.copy(ROOT / "demo/quick.toml", self.folder / "plan.toml")
        shutil.copy(ROOT / "demo/drills/first_start.toml", self.folder / "drill.toml")

    def run(self, words, environment=None):
        return subprocess.run(words, cwd=self.folder, env=environment, capture_output=True, timeout=SECONDS_MAX, check=False)

    def run_plain(self):
        self.prepare()
        done = self.run(self.words)
        must(done.returncode == 0, f"without a fault it fails: {done.stderr!r}")
        return done

    def try_fault(self, fault, n):
        """The number of calls seen."""
        self.prepare()
        faulty = Faulty(self.bin, self.folder, fault, n, self.words)
        done = self.run(faulty.words, faulty.environment)
        self.judge(done, fault)
        if done.returncode == 0:
            return faulty.count()
        again = self.run(self.words)
        must(again.returncode == 0 and again.stdout == self.plain.stdout, f"run again it gives {again}")
        must(files_below(self.folder) == self.files, "run again it leaves other files")
        return faulty.count()

    def judge(self, done, fault):
        said = done.stderr.decode(errors="replace").splitlines()
        if done.returncode == 0:
            must(said == [], f"it ends well and says {said}")
            must(done.stdout == self.plain.stdout, "it ends well and prints something else")
            must(files_below(self.folder) == self.files, "it ends well and leaves other files")
            return
        must(not FAULTS[fault], f"it could have gone on: {said}")
        must(done.returncode == (NO_MEMORY if fault == "new" else BAD_INPUT), f"it ends with {done.returncode}: {said}")
        must(len(said) == 1 and said[0].startswith(f"{self.program}: "), f"it says {said}")
        for name, content in files_below(self.folder).items():
            must(".partial-" not in name and "ampturn-probe" not in name, f"{name} is left behind")
            must(content == self.files.get(name), f"{name} is not whole")
        left = [path for path in self.folder.rglob("*.partial-*")]
        must(left == [], f"{left} are left behind")


class Session:
    """The simulated unit: a client works it, then it is asked to end. Its log is whole, or says where it ends."""

    LINES = ["*IDN?", "LIST:FREQ 96;CURR 2;DWEL 1;LOOP A;TAP 1;CAP 0", "ARM;INIT;*OPC?", "SYST:STAT?"]

    def __init__(self, bin_folder, scratch):
        self.bin, self.folder = bin_folder, scratch / "files"

    def try_fault(self, fault, n):
        shutil.rmtree(self.folder, ignore_errors=True)
        self.folder.mkdir()
        shutil.copy(ROOT / "demo/quick.toml", self.folder / "plan.toml")
        words = [str(self.bin / "ampturn-sim"), "--plan", "plan.toml", "--log", "log.jsonl", "--speed", "max", "--scpi-port", "0",
                 "--panel-port", "0", "--start-utc", "2026-06-01T08:00:00Z"]
        faulty = Faulty(self.bin, self.folder, fault, n, words)
        unit = subprocess.Popen(faulty.words, cwd=self.folder, env=faulty.environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
        try:
            self.work(unit)
            out, said = unit.communicate(timeout=SECONDS_MAX)
        finally:
            unit.kill()
        self.judge(unit.returncode, said.decode(errors="replace").splitlines(), fault)
        return faulty.count()

    def work(self, unit):
        """Until it has no more to say; a unit that ends meanwhile answers nobody."""
        port = None
        for line in unit.stdout:
            if line.startswith(b"scpi "):
                port = int(line.rsplit(b":", 1)[1])
            if line.startswith(b"log "):
                break
        if port is not None:
            with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", port), timeout=SECONDS_MAX) as client:
                answers = client.makefile("r")
                for line in self.LINES:
                    client.sendall((line + "\n").encode())
                    if "?" in line:
                        answers.readline()
        unit.send_signal(signal.SIGTERM)

    def judge(self, code, said, fault):
        allowed = {0} if FAULTS[fault] else {0, NO_MEMORY if fault == "new" else BAD_INPUT}
        must(code in allowed, f"it ends with {code}: {said}")
        must(len(said) <= 1 and all(line.startswith("ampturn-sim: ") or line.startswith("log ") for line in said), f"it says {said}")
        must(code == 0 or len(said) == 1, "it fails without a word")
        log = self.folder / "log.jsonl"
        if not log.exists() or log.stat().st_size == 0:
            must(said != [], "no log, and not a word of it")
            return
        replayed = subprocess.run([str(self.bin / "ampturn-sim"), "replay", "log.jsonl"], cwd=self.folder, capture_output=True,
                                  timeout=SECONDS_MAX, check=False)
        whole = b'"what":"end"' in log.read_bytes().splitlines()[-1]
        must(whole or said != [], "the log is not whole, and not a word of it")
        must(replayed.returncode == 0 or (not whole and replayed.returncode == BAD_INPUT), f"its replay gives {replayed}")


def sweep(name, command, faults, everything):
    failures, counts = 0, {}
    for fault in faults:
        family = fault if fault.endswith(":short") else fault.split(":")[0]  # a call of one byte cannot be short
        if family not in counts:
            counts[family] = command.try_fault(fault, 0)
        count = counts[family]
        numbers = numbers_to_try(count, everything)
        for n in numbers:
            try:
                seen = command.try_fault(fault, n)
                # What the unit writes depends on when its clients come.
                must(fault == "new" or name == "session" or seen == n, f"the {n}th call never came: {seen}")
            except (Failure, subprocess.TimeoutExpired) as trouble:
                failures += 1
                print(f"{name}, {fault} {n} of {count}: {trouble}")
        print(f"{name}: {fault}: {len(numbers)} of {count} let go wrong", flush=True)
    return failures


def main():
    words = [word for word in sys.argv[1:] if word != "--all"]
    bin_folder, names = pathlib.Path(words[0]).resolve(), words[1:] or ["check", "day", "rehearse", "drill", "session"]
    makers = {
        "check": lambda scratch: Command(bin_folder, scratch, ["check", "plan.toml"]),
        "day": lambda scratch: Command(bin_folder, scratch, ["day", "plan.toml", "--out", "out", "--threads", "1"]),
        # As little as it takes for records to be kept: one station, one frequency, short dwells.
        "rehearse": lambda scratch: Command(bin_folder, scratch,
                                            ["rehearse", "plan.toml", "--set", "sweep.frequencies_hz=[975]", "--set", "sweep.dwell_s=1",
                                             "--station", "near", "--runs", "1", "--keep", "kept", "--threads", "1"]),
        "drill": lambda scratch: Command(bin_folder, scratch, ["drill", "--check", "drill.toml"], "ampturn-sim"),
        "session": lambda scratch: Session(bin_folder, scratch),
    }
    failures = 0
    Faulty.places = "--all" in sys.argv
    for name in names:
        with tempfile.TemporaryDirectory(prefix="ampturn-faults-") as scratch:
            command = makers[name](pathlib.Path(scratch))
            # Who stays at the unit gets no answer from one without memory: what it does then is its own test's (robust.py).
            faults = [fault for fault in FAULTS if name != "session" or fault != "new"]
            failures += sweep(name, command, faults, "--all" in sys.argv)
    if failures:
        sys.exit(f"{failures} failures")


if __name__ == "__main__":
    main()
