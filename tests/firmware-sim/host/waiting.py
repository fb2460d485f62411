"""A client that waits for an answer is not idle: when all places are taken, those that are silent make room, not the one that
waits on *OPC?, though it has been heard longest ago. Takes as long as silence must last, a minute, and a sweep.
    waiting.py PROGRAM"""
import time

from unit_process import Unit, expect, wait_for

unit = Unit("--speed", "1")
waiting = unit.connect(timeout=120)
wait_for("standby", lambda: waiting.query("SYST:STAT?") == "standby")
waiting.write("ARM;INIT;*OPC?")
begun = time.monotonic()
silent = []
for _ in range(15):
    client = unit.connect()
    expect(client.query("*IDN?").startswith("Ampturn"), "identity")
    silent.append(client)
wait_for("silence", lambda: time.monotonic() > begun + 61.5, seconds=70)
late = unit.connect()
expect(late.query("*IDN?").startswith("Ampturn"), "the late one has a place")
try:
    dropped = silent[0].query("*IDN?")
except (EOFError, OSError):
    dropped = None
expect(dropped is None, "the silent one that was heard longest ago was to make room")
expect(silent[1].query("*IDN?").startswith("Ampturn"), "the others stay")
expect(waiting.read() == "1", "the waiting one has its answer")
expect(unit.stop() == 0, "exit code")
