#!/usr/bin/env python3
"""Cycles of calls into the core on a Cortex-M4: the blocks executed under QEMU, each instruction at the cycles of its class,
and a model of the flash memory it is fetched from.

cycle_model.py TARGET_IMAGE WORK_DIR     prints: name, instructions, cycles without wait states, with, with and prefetch

Cycles of the classes, from memory of Arm's Cortex-M4 Technical Reference Manual ("Instruction set summary"), the worst of
each range: 1 for what computes, multiplication too; 12 for a division (2 to 12); 2 for one load or store; 1 and one for
each register for several; 3 more wherever the program counter changes (1 to 3). Gains by pipelining of neighbouring loads
are not counted, and what a condition of an `it` block skips costs as if it were done.

The flash (an assumption: no part is chosen): lines of 16 bytes, one line held, no cache; a new line costs WAIT_STATES
more cycles. With prefetch the next line is read while this one executes, and is ready WAIT_STATES + 1 cycles after this
one was, later by as much if a constant beside the code is read in between. Such constants cost WAIT_STATES, unless their
line is there. Everything else that is read is in RAM without wait states.
"""

import os
import pathlib
import re
import subprocess
import sys

WAIT_STATES = 5
LINE_BYTES = 16
REFILL = 3
DIVISION = 12
QEMU = ["qemu-system-arm", "-M", "mps2-an386", "-display", "none", "-monitor", "none", "-serial", "none"]


class Instruction:
    """One instruction of the disassembly: where, how long, what it costs and what it reads beside the code."""

    def __init__(self, address, size, name, operands):
        self.address, self.size, self.name = address, size, name
        base = name.split(".")[0]
        self.call_by_register = base == "blx"
        literal = re.search(r"\[pc, #(-?0x[0-9a-f]+|-?\d+)\]", operands)
        self.literal = ((address + 4) & ~3) + int(literal.group(1), 0) if literal else None
        self.table = base in ("tbb", "tbh")  # reads its table of branches beside the code
        self.cycles = cycles_of(base, operands)
        if self.table:
            self.literal = address + 4


def cycles_of(base, operands):
    """Cycles of an instruction that does not change the program counter."""
    registers = re.search(r"\{([^}]*)\}", operands)
    if base.startswith(("ldm", "stm", "push", "pop")):
        return 1 + sum(registers_in(part) for part in registers.group(1).split(","))
    if base.startswith(("ldrd", "strd")):
        return 3
    if base.startswith(("ldr", "str", "tbb", "tbh", "pld")):
        return 2
    if base.startswith(("udiv", "sdiv")):
        return DIVISION
    if base.startswith(("v", "svc", "msr", "mrs", "dmb", "dsb", "isb", "wf", "cps")):
        raise SystemExit(f"cycle_model: '{base} {operands}' has no cycles here")
    return 1


def registers_in(part):
    ends = [int(x) for x in re.findall(r"r(\d+)", part)]
    return ends[1] - ends[0] + 1 if len(ends) == 2 else 1


class Flash:
    """Time and what the flash holds, by the model above."""

    def __init__(self, wait_states, prefetch):
        self.wait, self.prefetch = wait_states, prefetch
        self.now, self.line, self.ready = 0, None, 0

    def fetch(self, line):
        if line == self.line:
            return
        if self.prefetch and self.line is not None and line == self.line + 1:
            self.now = max(self.now, self.ready)
        else:
            self.now += self.wait
        self.line, self.ready = line, self.now + self.wait + 1

    def constant(self, line):
        if line == self.line or (self.prefetch and line == self.line + 1 and self.now >= self.ready):
            return
        self.now += self.wait
        self.ready = max(self.ready, self.now) + self.wait + 1

    def run(self, instruction, changes_course):
        first = instruction.address // LINE_BYTES
        last = (instruction.address + instruction.size - 1) // LINE_BYTES
        self.fetch(first)
        if last != first:
            self.fetch(last)
        if instruction.literal is not None:
            self.constant(instruction.literal // LINE_BYTES)
        self.now += instruction.cycles + (REFILL if changes_course else 0)


class Call:
    """What one counted call took."""

    def __init__(self):
        self.instructions = 0
        self.flashes = [Flash(0, False), Flash(WAIT_STATES, False), Flash(WAIT_STATES, True)]

    def run(self, block, following):
        for at, instruction in enumerate(block):
            after = block[at + 1].address if at + 1 < len(block) else following
            for flash in self.flashes:
                flash.run(instruction, after != instruction.address + instruction.size)
        self.instructions += len(block)

    def cycles(self):
        return [flash.now for flash in self.flashes]


def counted_calls(lines):
    """From QEMU's log (in_asm, exec) the calls that count() of target_count_main.cpp makes, in order."""
    code = re.compile(r"^0x([0-9a-f]+):  ([0-9a-f ]{4,9}?)\s{2,}(\S+)\s*(.*)$")
    blocks, block = {}, []
    call, back, previous, calls = None, None, None, []
    for line in lines:
        if line.startswith("0x"):
            found = code.match(line)
            if not found:
                raise SystemExit(f"cycle_model: not understood: {line.strip()}")
            size = len(found.group(2).replace(" ", "")) // 2
            block.append(Instruction(int(found.group(1), 16), size, found.group(3), found.group(4)))
        elif line.startswith("Trace"):
            address = int(line.split("/", 2)[1], 16)
            if block:
                blocks[block[0].address] = block
                block = []
            if call is not None and previous is not None:
                call.run(previous, address)
            previous = blocks[address]
            if address == back:
                calls.append(call)
                call = back = None
            if call is None and previous[-1].call_by_register and "5count" in line.rsplit("]", 1)[1]:
                call, back = Call(), previous[-1].address + previous[-1].size
                previous = None
    return calls


def measured(image, work):
    """{name: (instructions, [cycles of each model])}, the names from what the image writes."""
    log = subprocess.Popen(QEMU + ["-d", "in_asm,exec,nochain", "-D", "/dev/stdout", "-semihosting-config",
                                   "enable=on,target=native,arg=count,arg=traced.txt", "-kernel", os.path.abspath(image)],
                           stdout=subprocess.PIPE, text=True, cwd=work)
    calls = counted_calls(log.stdout)
    if log.wait(timeout=120) != 0:
        raise SystemExit(f"cycle_model: qemu-system-arm ended with {log.returncode}")
    names = [line.split()[0] for line in (pathlib.Path(work) / "traced.txt").read_text().split("\n") if line.strip()]
    if len(calls) != len(names) + 1:  # the first one calls nothing
        raise SystemExit(f"cycle_model: {len(calls)} calls traced, {len(names)} counted")
    # What calling nothing costs is its `bx lr`, and stays: the caller of the core pays it too.
    return {name: (call.instructions - calls[0].instructions, call.cycles()) for name, call in zip(names, calls[1:])}


if __name__ == "__main__":
    pathlib.Path(sys.argv[2]).mkdir(parents=True, exist_ok=True)
    for call_name, (instructions, cycles) in measured(sys.argv[1], sys.argv[2]).items():
        print(call_name, instructions, *cycles)
